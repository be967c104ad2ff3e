//! Answers about several findings at once, facts that report a cause, repairs
//! that were tried, circumstances and implied answers: exact against plain
//! enumeration of every cause and every finding, on small drawn engines.

// Each sign is written out as the disjunction that it is.
#![allow(clippy::nonminimal_bool)]

use sootsayer::engine::{Engine, Place};
use sootsayer::job::file::JobFile;
use sootsayer::job::shop::Shop;
use sootsayer::job::{Job, Observation, evidence};
use sootsayer::network::{Evidence, Solved};
use sootsayer::rules::file::Dimensions;
use sootsayer::rules::{Rules, load_files};
use sootsayer::unroll::{Past, Tailored, Unrolled, tried};
use std::collections::BTreeSet;

/// Evenly spread numbers, the same every time (Knuth's 64-bit step).
struct Draw(u64);

impl Draw {
    fn next(&mut self) -> f64 {
        self.0 = (self.0)
            .wrapping_mul(6364136223846793005)
            .wrapping_add(1442695040888963407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.next()
    }
}

/// One engine of two cylinders: `a` of the engine, `b` and `c` at each cylinder,
/// `a` brings `c` about. Findings `f`, `g`, `h` of the engine, `k` at each cylinder.
struct Small {
    prior: [f64; 3],
    brings: f64,
    /// For f, g, h: the grades of a sound engine, and of a, b, c alone.
    shows: [[Vec<f64>; 4]; 3],
    /// The same for k, which `a` does not show.
    at: [Vec<f64>; 3],
    reports: f64,
    falsely: f64,
    mends: [f64; 2],
    anyway: f64,
    onset: f64,
    usual: f64,
}

const GRADES: [usize; 3] = [3, 2, 3];

impl Small {
    fn drawn(seed: u64) -> Self {
        let mut draw = Draw(seed);
        draw.next();
        let mut row = |grades: usize, most: f64| -> Vec<f64> {
            let p = draw.between(0.02, most);
            let split = draw.between(0.2, 0.8);
            match grades {
                2 => vec![1.0 - p, p],
                _ => vec![1.0 - p, p * split, p * (1.0 - split)],
            }
        };
        let shows = GRADES.map(|n| [row(n, 0.2), row(n, 0.9), row(n, 0.9), row(n, 0.9)]);
        let at = [row(2, 0.2), row(2, 0.9), row(2, 0.9)];
        let mut p = |low, high| draw.between(low, high);
        Small {
            prior: [p(0.15, 0.5), p(0.05, 0.4), p(0.05, 0.4)],
            brings: p(0.1, 0.8),
            shows,
            at,
            reports: p(0.3, 0.95),
            falsely: p(0.01, 0.2),
            mends: [p(0.5, 0.95), p(0.5, 0.95)],
            anyway: p(0.02, 0.2),
            onset: p(0.4, 0.9),
            usual: p(0.1, 0.3),
        }
    }

    fn rules(&self) -> Rules {
        let grades = |row: &[f64]| match row {
            [_, p] => format!("{{chance: {p}, basis: judgement}}"),
            [_, p, q] => format!(
                "{{chance: {}, as: {{some: {p}, much: {q}}}, basis: judgement}}",
                p + q
            ),
            _ => String::new(),
        };
        let cause = |i: usize| -> String {
            let of = ["f", "g", "h"].iter().enumerate();
            let shows = of.map(|(n, f)| format!("{f}: {}", grades(&self.shows[n][i + 1])));
            let mut shows: Vec<String> = shows.collect();
            if i > 0 {
                shows.push(format!("k: {}", grades(&self.at[i])));
            }
            format!(
                "base_rate: {{per_1000: {}, basis: judgement}}, shows: {{{}}}",
                self.prior[i] * 1000.0,
                shows.join(", ")
            )
        };
        let text = format!(
            "system: s
title: S
words: {{better-anyway: {}}}
causes:
- {{cause: a, title: A, says: A., look_for: A., {}, onset: {{quick: {}, basis: judgement}}}}
- {{cause: b, title: B, says: B., look_for: B., scope: cylinder, {}}}
- {{cause: c, title: C, says: C., look_for: C., scope: cylinder, {}, brought_on_by: {{a: {{chance: {}, basis: judgement}}}}, onset: {{slow: {}, basis: judgement}}}}
findings:
- {{finding: f, title: F, ask: F, grades: [none, some, much], sound: {}, implies: {{h: much}}}}
- {{finding: g, title: G, ask: G, sound: {}}}
- {{finding: h, title: H, ask: H, grades: [none, some, much], sound: {}}}
- {{finding: k, title: K, ask: K, scope: cylinder, sound: {}}}
- {{finding: onset-quick, title: Quick, ask: Q, value_of: onset, excludes: [onset-slow], sound: {{chance: {}, basis: judgement}}}}
- {{finding: onset-slow, title: Slow, ask: Q, value_of: onset, sound: {{chance: {}, basis: judgement}}}}
signs:
- {{sign: fg, title: FG, ask: FG, of: [f, g]}}
- {{sign: gh, title: GH, ask: GH, of: [g, h]}}
- {{sign: all-of-it, title: All, ask: All, of: [fg, h, k]}}
- {{sign: well, title: Well, ask: Well, none_of: [f, h]}}
facts:
- {{fact: was-so, title: Was so, ask: W, reports: {{a: {{chance: {}, basis: judgement}}}}, falsely: {{chance: {}, basis: judgement}}}}
repairs:
- repair: mend
  title: Mend
  says: M.
  scope: cylinder
  hours: {{low: 1, likely: 1, high: 1}}
  mends: {{a: {{chance: {}, basis: judgement}}, b: {{chance: {}, basis: judgement}}}}
  basis: judgement
",
            self.anyway,
            cause(0),
            self.onset,
            cause(1),
            cause(2),
            self.brings,
            self.onset,
            grades(&self.shows[0][0]),
            grades(&self.shows[1][0]),
            grades(&self.shows[2][0]),
            grades(&self.at[0]),
            self.usual,
            self.usual,
            self.reports,
            self.falsely,
            self.mends[0],
            self.mends[1],
        );
        let loaded = load_files([("s.yaml".to_string(), text.into_bytes())], []);
        assert_eq!(loaded.problems, []);
        loaded.rules
    }

    /// The posteriors of a, b@1, b@2, c@1, c@2 and the probability of the
    /// evidence, by going through every state of every cause and finding.
    fn enumerated(&self, agrees: &dyn Fn(&Seen) -> f64) -> ([f64; 5], f64) {
        let (mut whole, mut with) = (0.0, [0.0; 5]);
        for bits in 0..32u32 {
            let on = |i: usize| bits >> i & 1 == 1;
            let c = 1.0 - (1.0 - self.prior[2]) * (1.0 - if on(0) { self.brings } else { 0.0 });
            let p = [self.prior[0], self.prior[1], self.prior[1], c, c];
            let causes: f64 = (0..5)
                .map(|i| if on(i) { p[i] } else { 1.0 - p[i] })
                .product();
            // the highest of what the leak and each present cause show
            let shown = |n: usize| {
                let rows = &self.shows[n];
                let of = [1, 2, 2, 3, 3].into_iter().enumerate();
                let present = of.filter(|(i, _)| on(*i)).map(|(_, row)| &rows[row]);
                highest(&rows[0], present)
            };
            let at = |cylinder: usize| {
                let present = [(0, 1), (2, 2)].into_iter();
                let present = present.filter(|(first, _)| on(1 + first + cylinder));
                highest(&self.at[0], present.map(|(_, row)| &self.at[row]))
            };
            let yes = |leak: f64, strengths: &[(bool, f64)]| {
                let on = strengths.iter().filter(|(on, _)| *on);
                let no = (1.0 - leak) * on.map(|(_, s)| 1.0 - s).product::<f64>();
                vec![no, 1.0 - no]
            };
            let beyond = (self.onset - self.usual) / (1.0 - self.usual);
            let rows = [
                shown(0),
                shown(1),
                shown(2),
                at(0),
                at(1),
                yes(self.falsely, &[(on(0), self.reports)]),
                yes(
                    self.anyway,
                    &[
                        (on(0), self.mends[0]),
                        (on(1), self.mends[1]),
                        (on(2), self.mends[1]),
                    ],
                ),
                yes(self.usual, &[(on(0), beyond)]),
                yes(self.usual, &[(on(3), beyond), (on(4), beyond)]),
            ];
            let mut seen = [0usize; 9];
            let likelihood = summed(&rows, &mut seen, 0, agrees);
            whole += causes * likelihood;
            for (i, sum) in with.iter_mut().enumerate() {
                *sum += if on(i) { causes * likelihood } else { 0.0 };
            }
        }
        (with.map(|p| p / whole), whole)
    }
}

/// Grades of f, g, h, k@1, k@2; then yes or no: the fact was told, the repair helped, quick, slow.
type Seen = [usize; 9];

fn highest<'r>(leak: &[f64], rows: impl Iterator<Item = &'r Vec<f64>>) -> Vec<f64> {
    let rows: Vec<&Vec<f64>> = rows.collect();
    let up_to = |k: usize| {
        let cum = |row: &[f64]| row[..=k].iter().sum::<f64>();
        cum(leak) * rows.iter().map(|row| cum(row)).product::<f64>()
    };
    (0..leak.len())
        .map(|k| up_to(k) - if k > 0 { up_to(k - 1) } else { 0.0 })
        .collect()
}

fn summed(rows: &[Vec<f64>; 9], seen: &mut Seen, at: usize, agrees: &dyn Fn(&Seen) -> f64) -> f64 {
    if at == rows.len() {
        return agrees(seen);
    }
    (0..rows[at].len())
        .map(|grade| {
            seen[at] = grade;
            rows[at][grade] * summed(rows, seen, at + 1, agrees)
        })
        .sum()
}

struct Solution {
    present: Vec<f64>,
    probability: f64,
    observations: Vec<Observation>,
    warnings: Vec<String>,
}

/// What the program makes of lines of a job.
fn solved(rules: &Rules, lines: &str) -> Solution {
    let engine = Engine {
        name: "small".into(),
        family: "small".into(),
        traits: BTreeSet::new(),
        banks: vec![vec![1, 2]],
        dimensions: Dimensions::default(),
    };
    let text = format!(
        "sootsayer: 1\nengine: {{name: small, family: small, cylinders: 2}}\n\
         opened: 2026-11-25T08:00:00Z\ndiary:\n- time: 2026-11-25T08:00:00Z\n{lines}"
    );
    let job = Job::replay(JobFile::parse(&text, "job").unwrap()).unwrap();
    let (seen, warnings) = evidence(rules, &engine, &job, &Shop::default().workbench);
    let joints = seen.iter().filter_map(|o| o.joint.clone()).collect();
    let repairs = seen.iter().filter(|o| o.finding == tried("mend"));
    let repairs = repairs.map(|o| ("mend".to_string(), o.place)).collect();
    let kinds = Tailored::after(rules, &engine, &Past::default());
    let unrolled = Unrolled::of(kinds.with(rules, joints, &repairs), &engine).unwrap();
    let mut told = Evidence::new();
    for it in &seen {
        let instance = unrolled.finding(&it.finding, it.place);
        told.set(
            instance.unwrap_or_else(|| panic!("{it:?}")).var,
            &it.likelihood,
        );
    }
    let answer = Solved::new(&unrolled.network, &told).unwrap();
    let wanted = [
        ("a", Place::Engine),
        ("b", Place::Cylinder(1)),
        ("b", Place::Cylinder(2)),
        ("c", Place::Cylinder(1)),
        ("c", Place::Cylinder(2)),
    ];
    let present = wanted.map(|(id, place)| {
        let of =
            |c: &&sootsayer::unroll::Instance| unrolled.cause_kind(c).id == id && c.place == place;
        let cause = unrolled.causes.iter().find(of).unwrap();
        answer.marginal(cause.var).unwrap()[1]
    });
    Solution {
        present: present.to_vec(),
        probability: answer.ln_evidence().exp(),
        observations: seen,
        warnings: warnings.into_iter().map(|w| w.says).collect(),
    }
}

fn so(yes: bool) -> f64 {
    f64::from(u8::from(yes))
}

/// Lines, and how well a state of all findings agrees with them.
type Case = (&'static str, fn(&Seen) -> f64);

const CASES: &[Case] = &[
    ("  readings: [fg=yes]", |s| so(s[0] > 0 || s[1] > 0)),
    ("  readings: [fg=no]", |s| so(s[0] == 0 && s[1] == 0)),
    ("  readings: [well=yes]", |s| so(s[0] == 0 && s[2] == 0)),
    ("  readings: [well=no]", |s| so(s[0] > 0 || s[2] > 0)),
    // two words that share a finding
    ("  readings: [fg=yes, gh=yes]", |s| {
        so((s[0] > 0 || s[1] > 0) && (s[1] > 0 || s[2] > 0))
    }),
    ("  readings: [fg=yes, gh=yes, well=no]", |s| {
        so((s[0] > 0 || s[1] > 0) && (s[1] > 0 || s[2] > 0) && (s[0] > 0 || s[2] > 0))
    }),
    // one within the other, and over the places of a finding
    ("  readings: [all-of-it=yes, fg=yes]", |s| {
        so(s[0] > 0 || s[1] > 0)
    }),
    ("  readings: [all-of-it=yes]", |s| {
        so(s[..5].iter().any(|&g| g > 0))
    }),
    ("  readings: [all-of-it=yes, k@one=yes, k@2=no]", |s| {
        so(s[3] > 0 && s[4] == 0)
    }),
    // a finding answered itself goes before its sign
    ("  readings: [fg=yes, g=no]", |s| so(s[0] > 0 && s[1] == 0)),
    ("  readings: [fg=yes, g=yes]", |s| so(s[1] > 0)),
    ("  readings: [gh=yes, well=yes]", |s| {
        so(s[0] == 0 && s[1] > 0 && s[2] == 0)
    }),
    ("  readings: [fg=no, gh=no]", |s| {
        so(s[0] == 0 && s[1] == 0 && s[2] == 0)
    }),
    // degrees
    ("  readings: [all-of-it=some]", |s| so(s[0].max(s[2]) == 1)),
    ("  readings: [all-of-it=much]", |s| so(s[0].max(s[2]) == 2)),
    ("  readings: [f=yes]", |s| so(s[0] > 0)),
    ("  readings: [h=at least much]", |s| so(s[2] == 2)),
    // one of several places
    ("  readings: [k@one=yes]", |s| so(s[3] > 0 || s[4] > 0)),
    ("  readings: [k@some=yes, k@1=no]", |s| {
        so(s[3] == 0 && s[4] > 0)
    }),
    // a fact that reports a cause
    ("  facts: [was-so=yes]", |s| so(s[5] == 1)),
    ("  facts: [was-so=no]", |s| so(s[5] == 0)),
    ("  facts: [was-so=perhaps]", |s| [0.3, 1.0][s[5]]),
    // circumstances: what is said is seen, what it excludes is not
    ("  readings: [onset=quick]", |s| so(s[7] == 1 && s[8] == 0)),
    ("  readings: [onset=slow]", |s| so(s[8] == 1 && s[7] == 0)),
    // implied answers count once
    ("  readings: [f=some, h=some]", |s| so(s[0] == 1)),
    ("  readings: [f=none, h=some]", |s| {
        so(s[0] == 0 && s[2] == 1)
    }),
    // together
    (
        "  readings: [fg=yes, gh=yes, k@one=yes, onset=slow]\n  facts: [was-so=yes]",
        |s| {
            so((s[0] > 0 || s[1] > 0)
                && (s[1] > 0 || s[2] > 0)
                && (s[3] > 0 || s[4] > 0)
                && s[8] == 1
                && s[7] == 0
                && s[5] == 1)
        },
    ),
];

#[test]
fn every_answer_is_exact() {
    for seed in 1..=12 {
        let small = Small::drawn(seed);
        let rules = small.rules();
        for (lines, agrees) in CASES {
            let got = solved(&rules, lines);
            assert_eq!(got.warnings, Vec::<String>::new(), "{lines}");
            let (present, probability) = small.enumerated(agrees);
            for (got, want) in got.present.iter().zip(present) {
                assert!(
                    (got - want).abs() < 1e-9,
                    "{lines}, seed {seed}: {got} {want}"
                );
            }
            let apart = (got.probability / probability - 1.0).abs();
            assert!(
                apart < 1e-9,
                "{lines}, seed {seed}: {} {probability}",
                got.probability
            );
        }
    }
}

#[test]
fn what_was_tried_is_a_leaf_of_what_it_mends() {
    for seed in 1..=12 {
        let small = Small::drawn(seed);
        let rules = small.rules();
        for (word, helped) in [("no-better", 0), ("better-for-a-time", 1), ("cured", 1)] {
            let got = solved(&rules, &format!("  tried: [mend={word}]"));
            let (present, _) = small.enumerated(&|s: &Seen| so(s[6] == helped));
            for (got, want) in got.present.iter().zip(present) {
                assert!(
                    (got - want).abs() < 1e-9,
                    "{word}, seed {seed}: {got} {want}"
                );
            }
        }
        // at one cylinder nothing is said of the other's
        let here = solved(&rules, "  tried: [mend@1=no-better]");
        let nothing = solved(&rules, "  readings: [k@1=unknown]");
        assert!(here.present[1] < nothing.present[1]);
        assert!((here.present[2] - nothing.present[2]).abs() < 1e-12);
    }
}

/// A cause that says nothing of a circumstance is moved by no answer to it.
#[test]
fn what_a_cause_does_not_speak_of_says_nothing_of_it() {
    let small = Small::drawn(3);
    let rules = small.rules();
    let nothing = solved(&rules, "  readings: [k@1=unknown]");
    for lines in ["  readings: [onset=quick]", "  readings: [onset-quick=no]"] {
        let got = solved(&rules, lines);
        for i in [1, 2] {
            assert!(
                (got.present[i] - nothing.present[i]).abs() < 1e-12,
                "{lines}"
            );
        }
    }
}

#[test]
fn answers_that_contradict_are_told_and_not_counted() {
    let rules = Small::drawn(1).rules();
    for (lines, told) in [
        (
            "  readings: [fg=yes, f=none, g=no]",
            "everything that it could be",
        ),
        (
            "  readings: [fg=yes, fg=no]",
            "another answer says the opposite",
        ),
        (
            "  readings: [fg=no, g=yes]",
            "one of these was recorded as seen",
        ),
        (
            "  readings: [onset=quick, onset=slow]",
            "another answer excludes this",
        ),
        ("  tried: [mend=worse]", "is not used"),
        ("  tried: [paint=cured]", "is not used"),
    ] {
        let got = solved(&rules, lines);
        assert!(
            got.warnings.iter().any(|w| w.contains(told)),
            "{lines}: {:?}",
            got.warnings
        );
        assert!(got.present.iter().all(|p| p.is_finite()), "{lines}");
    }
    // the finding that was seen stands, the others of the word are not seen
    let got = solved(&rules, "  readings: [fg=no, g=yes]");
    assert_eq!(got.observations.len(), 2);
}

/// The mark goes with what stands for an answer that adds nothing.
#[test]
fn the_complaint_stays_the_complaint() {
    let rules = Small::drawn(1).rules();
    for lines in [
        "  readings: [fg=yes, g=yes]",
        "  readings: [all-of-it=yes, fg=yes]",
        "  readings: [f=some, h=some]",
    ] {
        let got = solved(&rules, &format!("{lines}\n  complaint: true"));
        let [only] = got.observations.as_slice() else {
            panic!("{lines}: {:?}", got.observations);
        };
        assert!(only.complaint, "{lines}");
    }
}
