//! The style of the owner's document: screen, phone, dark, print.

/// The whole style sheet.
pub const STYLE: &str = "
:root{--ink:#1d2429;--dim:#55616a;--paper:#fdfcf9;--line:#cfd4d3;--bar:#2f6f73;--soft:#dfeae8;--warn:#8c2f1b}
@media(prefers-color-scheme:dark){:root{--ink:#e8e6df;--dim:#a9b1b3;--paper:#171b1d;--line:#3a4245;--bar:#6fb8b3;--soft:#24393a;--warn:#f0a08c}}
*{box-sizing:border-box}
body{margin:0 auto;max-width:54rem;padding:1.2rem;background:var(--paper);color:var(--ink);overflow-wrap:anywhere;font:16px/1.5 Georgia,'Times New Roman',serif}
h1{font-size:1.7rem;line-height:1.2;margin:0}
h2{font-size:1.2rem;margin:2rem 0 .5rem;border-bottom:2px solid var(--bar);padding-bottom:.15rem}
h3{font-size:1rem;margin:1.2rem 0 .2rem}
p{margin:.4rem 0}.dim{color:var(--dim);font-size:.9rem}
.warn{border-left:4px solid var(--warn);padding:.3rem .8rem;margin:.8rem 0}
.warn strong{color:var(--warn)}
.wide{overflow-x:auto}
table{border-collapse:collapse;width:100%;font-size:.93rem}
th,td{text-align:left;vertical-align:top;padding:.3rem .6rem .3rem 0;border-bottom:1px solid var(--line);overflow-wrap:break-word}
th{font-weight:600;color:var(--dim)}
td.n,th.n{text-align:right;white-space:nowrap;font-variant-numeric:tabular-nums}
td .dim{font-weight:400}td .no{color:var(--warn);font-size:.9rem;font-weight:400}
tr.best td{font-weight:600;background:var(--soft)}
svg{display:block;width:100%;height:auto;min-width:8rem}
ul.agreed{list-style:none;padding:0}ul.agreed li{padding:.15rem 0}ul.agreed li::before{content:'';display:inline-block;width:.8em;height:.8em;border:1.5px solid var(--ink);margin-right:.6em}.rule{display:inline-block;width:60%;border-bottom:1px solid var(--ink)}
.plugs{display:grid;grid-template-columns:repeat(auto-fill,minmax(11rem,1fr));gap:1rem}figure{margin:0;break-inside:avoid}figure svg{max-height:13rem;background:#dfe3e6;border-radius:.3rem}figcaption{font-size:.9rem}
svg .track{fill:var(--soft)}svg .fill{fill:var(--bar)}svg .mid{fill:var(--ink)}
.sign{display:grid;grid-template-columns:1fr 1fr;gap:2rem;margin-top:2.5rem}
.sign div{border-top:1px solid var(--ink);padding-top:.3rem}
@media(max-width:34rem){body{padding:.8rem}.sign{grid-template-columns:1fr}table.choices td.bar,table.choices th.bar,table.choices .says{display:none}th,td{padding-right:.45rem}}
@media screen and (min-width:34.01rem){table.choices th:first-child,table.choices td:first-child{min-width:13rem}}
@media print{.wide{overflow:visible}table.choices,table.choices .says,table.choices .no{font-size:9pt}table.choices th,table.choices td{padding-right:.3rem}table.choices td.bar svg{width:4.5rem}:root{--ink:#000;--dim:#444;--paper:#fff;--line:#bbb;--bar:#2f6f73;--soft:#e4eeec;--warn:#8c2f1b}
body{max-width:none;padding:0;font-size:10.5pt}h2,h3{break-after:avoid}tr,.sign,.warn{break-inside:avoid}@page{margin:18mm 16mm}}
";
