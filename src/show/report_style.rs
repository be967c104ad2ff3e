//! The style of the owner's document: screen, phone, dark, print.

/// The whole style sheet.
pub const STYLE: &str = "
:root{--ink:#1d2429;--dim:#55616a;--paper:#fdfcf9;--line:#cfd4d3;--bar:#2f6f73;--soft:#dfeae8;--warn:#8c2f1b}
@media(prefers-color-scheme:dark){:root{--ink:#e8e6df;--dim:#a9b1b3;--paper:#171b1d;--line:#3a4245;--bar:#6fb8b3;--soft:#24393a;--warn:#f0a08c}}
*{box-sizing:border-box}
body{margin:0 auto;max-width:54rem;padding:1.2rem;background:var(--paper);color:var(--ink);overflow-wrap:anywhere;font:16px/1.5 Georgia,'Times New Roman',serif}
h1{font-size:1.7rem;line-height:1.2;margin:0}
h2{font-size:1.2rem;margin:1.8rem 0 .5rem;border-bottom:2px solid var(--bar);padding-bottom:.15rem}
h3{font-size:1rem;margin:1.2rem 0 .2rem}
p{margin:.4rem 0}.dim{color:var(--dim);font-size:.9rem}
q{quotes:'\\201c' '\\201d'}
.three{display:grid;grid-template-columns:max-content 1fr;gap:.5rem 1rem;margin:1rem 0;padding:.9rem 1rem;border:2px solid var(--bar);border-radius:.3rem;font-size:1.05rem}
.three dt{color:var(--dim);white-space:nowrap}.three dd{margin:0}.three .no,.no{color:var(--warn)}.three .no{font-weight:600}
.wide{overflow-x:auto}
table{border-collapse:collapse;width:100%;font-size:.93rem}
th,td{text-align:left;vertical-align:top;padding:.3rem .6rem .3rem 0;border-bottom:1px solid var(--line);overflow-wrap:break-word}
th{font-weight:600;color:var(--dim)}
td.n,th.n{text-align:right;white-space:nowrap;font-variant-numeric:tabular-nums}
td.bar{width:30%;min-width:6rem}td .no{font-size:.9rem}
tr.best td{font-weight:600;background:var(--soft)}
svg{display:block;width:100%;height:auto}
.cards{display:grid;grid-template-columns:repeat(auto-fit,minmax(13rem,1fr));gap:.8rem;align-items:start}
.card{border:1px solid var(--line);border-radius:.3rem;padding:.6rem .8rem;break-inside:avoid}
.card.best{border:2px solid var(--bar);background:var(--soft)}.card.best .track{fill:var(--paper)}
.card h3{margin:.1rem 0 .3rem;line-height:1.3}.card p{margin:.3rem 0}.card .says{font-size:.9rem}
.tag{font-size:.85rem;font-weight:600;color:var(--bar)}.big{font-size:1.25rem;font-variant-numeric:tabular-nums}
ul.agreed{list-style:none;padding:0}ul.agreed li{padding:.15rem 0}ul.agreed li::before{content:'';display:inline-block;width:.8em;height:.8em;border:1.5px solid var(--ink);margin-right:.6em}.rule{display:inline-block;width:55%;border-bottom:1px solid var(--ink)}
.plugs{display:grid;grid-template-columns:repeat(auto-fill,minmax(11rem,1fr));gap:1rem}figure{margin:0;break-inside:avoid}figure svg{max-height:13rem;background:#dfe3e6;border-radius:.3rem}figcaption{font-size:.9rem}
svg .track{fill:var(--soft)}svg .fill{fill:var(--bar)}svg .mid{fill:var(--ink)}
.sign{display:grid;grid-template-columns:1fr 1fr;gap:2rem;margin-top:2.5rem}
.sign div{border-top:1px solid var(--ink);padding-top:.3rem}
.sheet{margin-top:3rem;padding-top:1rem;border-top:4px double var(--line)}
@media(max-width:34rem){body{padding:.8rem}.sign{grid-template-columns:1fr}.three{grid-template-columns:1fr;gap:.1rem}.three dd{margin-bottom:.5rem}th,td{padding-right:.45rem}}
@media print{.wide{overflow:visible}:root{--ink:#000;--dim:#444;--paper:#fff;--line:#bbb;--bar:#2f6f73;--soft:#e4eeec;--warn:#8c2f1b}
body{max-width:none;padding:0;font-size:10pt;line-height:1.35}h2{margin:1.1rem 0 .35rem}.three{font-size:11pt;margin:.6rem 0}h2,h3{break-after:avoid}tr,.sign,.three,.agreed{break-inside:avoid}.sheet{break-before:page;border:0;margin:0;padding:0}.cards{grid-template-columns:repeat(3,1fr)}
svg{print-color-adjust:exact;-webkit-print-color-adjust:exact}@page{margin:14mm 14mm}}
";
