"""Compares the program's posteriors with pyAgrum's exact inference, to 1e-9.

    python compare.py PROGRAM [--second] [JOB...]

1. Standard networks shipped inside pgmpy, read by path, with some evidence.
2. Generated networks of tables.
3. Jobs, given and generated: `rank --export` as UAI. The causes' part of the
   network goes to pyAgrum; each finding seen is a signed sum of products over
   its causes (D. Heckerman 1989), so every term is soft evidence on the causes.

With `--second`, 1 and 2 go to pgmpy's variable elimination too, which then must
be installed with all that it depends on.

Times are the least of some runs: the program's own time for planning, solving
and all posteriors; pyAgrum's from a new LazyPropagation to the last posterior.
"""

import gzip
import itertools
import json
import pathlib
import random
import subprocess
import sys
import tempfile
import time

import numpy as np
import pyagrum as gum
from networks import Net, read_bif, read_uai

LIMIT = 1e-9
STANDARD = """asia cancer earthquake survey sachs child alarm insurance hailfinder hepar2 win95pts andes water
barley diabetes mildew munin munin2 munin3 munin4 pathfinder pigs""".split()
RUNS = 3
GENERATED = [
    ("utility-single", 1, 4), ("motorcycle-two-stroke", 2, 4), ("car-petrol", 3, 3),
    ("inboard-diesel", 4, 3), ("aircraft-opposed", 4, 2), ("car-petrol-vee-six", 6, 2),
]  # family, cylinders, signs shown
NOT_SEEN = 8
PROGRAM, *WORDS = sys.argv[1:]
PROGRAM = str(pathlib.Path(PROGRAM).resolve())
SECOND = "--second" in WORDS
JOBS = [pathlib.Path(word) for word in WORDS if word != "--second"]
worst_of_all = 0.0


def ours(*words):
    run = subprocess.run([PROGRAM, *map(str, words)], capture_output=True, text=True, timeout=120)
    if run.returncode != 0:
        sys.exit(f"{' '.join(map(str, words))}: {run.stderr}")
    return run.stdout


def to_pyagrum(net, keep):
    bn, of = gum.BayesNet(), {}
    for v in sorted(keep):
        of[v] = bn.add(gum.LabelizedVariable(f"v{v}", "", len(net.states[v])))
    for v in keep:
        for parent in net.scopes[v][:-1]:
            bn.addArc(of[parent], of[v])
    for v in keep:
        cpt, scope = bn.cpt(of[v]), net.scopes[v]
        axes = [scope.index(int(name[1:])) for name in cpt.names]
        cpt.fillWith(list(np.transpose(net.tables[v], axes).flatten(order="F")))
    return bn, of


def lazy(net, seen):
    bn, of = to_pyagrum(net, range(len(net.names)))
    least = float("inf")
    for _ in range(RUNS):
        start = time.perf_counter()
        ie = gum.LazyPropagation(bn)
        for v, likelihood in seen.items():
            ie.addEvidence(of[v], list(map(float, likelihood)))
        ie.makeInference()
        posteriors = [ie.posterior(of[v]) for v in range(len(net.names))]
        least = min(least, time.perf_counter() - start)
    return [p.tolist() for p in posteriors], least * 1000


def eliminated(net, seen):
    """Posteriors by pgmpy, a query for each variable; hard evidence only."""
    from pgmpy.factors.discrete import TabularCPD
    from pgmpy.inference import VariableElimination
    from pgmpy.models import DiscreteBayesianNetwork

    model = DiscreteBayesianNetwork([(p, v) for v, scope in enumerate(net.scopes) for p in scope[:-1]])
    model.add_nodes_from(range(len(net.names)))
    for v, (scope, table) in enumerate(zip(net.scopes, net.tables)):
        cards = [len(net.states[p]) for p in scope]
        columns = table.reshape(-1, cards[-1]).T
        model.add_cpds(TabularCPD(v, cards[-1], columns, scope[:-1] or None, cards[:-1] or None))
    start = time.perf_counter()
    solver, known = VariableElimination(model), {v: int(np.argmax(l)) for v, l in seen.items()}
    posteriors = [
        list(seen[v]) if v in seen else solver.query([v], known, show_progress=False).values.tolist()
        for v in range(len(net.names))
    ]
    return posteriors, (time.perf_counter() - start) * 1000


def report(name, size, worst, own, other):
    global worst_of_all
    worst_of_all = max(worst_of_all, worst)
    print(f"{name:24} {size:5} {worst:9.1e} {own:9.3f} {other:9.2f} {other / own:8.0f}", flush=True)
    if not worst <= LIMIT:
        sys.exit(f"{name}: posteriors differ by {worst}")


def compare_file(name, net, path, evidence, seed):
    words = [f"{net.names[v]}={net.states[v][s]}" for v, s in evidence.items()]
    answer = json.loads(ours("solve", path, *words, "--runs", RUNS))
    seen = {v: np.eye(len(net.states[v]))[s] for v, s in evidence.items()}
    for solver, label in [(lazy, name), (eliminated, f"{name}, pgmpy")][: 1 + SECOND]:
        theirs, took = solver(net, seen)
        worst = 0.0
        for v, states in enumerate(net.states):
            own = answer["posteriors"][net.names[v]]
            worst = max(worst, *(abs(own[s] - p) for s, p in zip(states, theirs[v])))
        report(label, len(net.names), worst, answer["milliseconds"]["solve"], took)


def drawn(net, dice, count):
    """Evidence that is possible: some variables of one draw from the network."""
    state = {}
    while len(state) < len(net.names):
        for v, scope in enumerate(net.scopes):
            if v not in state and all(p in state for p in scope[:-1]):
                row = net.tables[v][tuple(state[p] for p in scope[:-1])]
                state[v] = dice.choices(range(len(row)), row)[0]
    return {v: state[v] for v in sorted(dice.sample(sorted(state), count))}


def standard(folder):
    models = pathlib.Path(gum.__file__).parent.parent / "pgmpy/utils/example_models"
    for name in STANDARD:
        text = gzip.open(models / f"{name}.bif.gz", "rt").read()
        path, net = folder / f"{name}.bif", read_bif(text)
        path.write_text(text)
        for seed in (1, 2):
            dice = random.Random(seed)
            compare_file(name, net, path, drawn(net, dice, max(2, len(net.names) // 10)), seed)


def generated(folder):
    for seed in range(10):
        dice, net = random.Random(seed), Net()
        for v in range(30):
            net.names.append(f"x{v}")
            net.states.append([f"s{s}" for s in range(dice.choice([2, 2, 3, 4]))])
            net.scopes.append(dice.sample(range(v), min(v, dice.randrange(4))) + [v])
            table = np.array([dice.random() ** 3 + 1e-4 for _ in range(int(np.prod([len(net.states[u]) for u in net.scopes[v]])))])
            table = table.reshape([len(net.states[u]) for u in net.scopes[v]])
            net.tables.append(table / table.sum(axis=-1, keepdims=True))
        numbers = lambda values: " ".join(map(repr, map(float, values)))
        lines = ["BAYES", "30", " ".join(str(len(s)) for s in net.states), "30"]
        lines += [" ".join(map(str, [len(s), *s])) for s in net.scopes]
        lines += [f"{t.size} {numbers(t.flatten())}" for t in net.tables]
        path = folder / f"generated-{seed}.uai"
        path.write_text("\n".join(lines))
        as_read = Net([str(v) for v in range(30)], [[str(s) for s in range(len(n))] for n in net.states], net.scopes, net.tables)
        compare_file(f"generated {seed}", as_read, path, drawn(net, dice, 6), seed)


def gate(net, v, helpers):
    """Leak, and for each cause its grades, cumulated: of a table or of a chain."""
    *parents, _ = net.scopes[v]
    chained = bool(parents) and parents[0] in helpers
    leak, causes = gate(net, parents[0], helpers) if chained else (np.cumsum(net.tables[v][(0,) * len(parents)]), {})
    for i in range(1 if chained else 0, len(parents)):
        alone = np.cumsum(net.tables[v][tuple(int(i == j) for j in range(len(parents)))])
        causes[parents[i]] = alone if chained else alone / np.where(leak > 0, leak, 1)
    return leak, causes


def terms_of(net, seen, helpers, signs):
    """Signed products: [(factor, {cause: factor when present})]."""
    terms = [(1.0, {})]

    def times(term, leak, causes, k, factor):
        weight, by = term[0] * factor * leak[k], dict(term[1])
        for cause, cumulated in causes.items():
            by[cause] = by.get(cause, 1.0) * cumulated[k]
        return weight, by

    for v, likelihood in seen.items():
        leak, causes = gate(net, v, helpers)
        steps = likelihood - np.append(likelihood[1:], 0.0)
        terms = [times(t, leak, causes, k, steps[k]) for t in terms for k in np.flatnonzero(steps)]
    for sign in sorted(signs, reverse=True):
        leak, causes = gate(net, sign, helpers)
        split = []
        for weight, by in terms:
            by = dict(by)
            shown = by.pop(sign, 1.0)
            split.append((weight * shown, by))
            if shown != 1.0:
                split.append(times((weight, by), leak, causes, 0, 1.0 - shown))
        terms = split
    return terms


def job(path, folder):
    file = folder / f"{path.stem}.uai"
    ours("rank", path, "--force", "--export", file)
    answer = json.loads(ours("solve", path, "--runs", RUNS))
    net, seen = read_uai(file.read_text(), pathlib.Path(f"{file}.evid").read_text())
    variables = json.loads(pathlib.Path(f"{file}.json").read_text())["variables"]
    helpers = {v for v, it in enumerate(variables) if it["helper"]}
    signs = {v for v, it in enumerate(variables) if "~" in it["name"]} - helpers
    number = {it["name"]: v for v, it in enumerate(variables)}
    told = {number[name]: p["yes"] for name, p in answer["posteriors"].items()}
    counters = {v: likelihood for v, likelihood in seen.items() if v in helpers}
    seen = {v: likelihood for v, likelihood in seen.items() if v not in helpers}
    terms = terms_of(net, seen, helpers, signs)
    bn, of = to_pyagrum(net, net.ancestors({*told, *counters}))
    touched = sorted(set(itertools.chain.from_iterable(by for _, by in terms)))
    start = time.perf_counter()
    ie, total, present = gum.LazyPropagation(bn), 0.0, {v: 0.0 for v in told}
    for v, likelihood in counters.items():
        ie.addEvidence(of[v], list(map(float, likelihood)))
    for v in touched:
        ie.addEvidence(of[v], [1.0, 0.5])
    for weight, by in terms:
        for v in touched:
            ie.chgEvidence(of[v], [1.0, max(by.get(v, 1.0), 0.0)])
        weight *= ie.evidenceProbability()
        total += weight
        for v in told:
            present[v] += weight * ie.posterior(of[v])[1]
    took = (time.perf_counter() - start) * 1000
    worst = max(abs(present[v] / total - told[v]) for v in told)
    print(f"  {len(terms)} terms, {len(seen)} findings seen")
    report(path.stem, len(told), worst, answer["milliseconds"]["solve"], took)


def generated_jobs(folder):
    """Engines whose readings are one draw from the rules: some signs shown, some looked for and not seen."""
    findings = {f["id"] for f in json.loads(ours("rules", "list", "findings", "--json"))}
    for seed, (family, cylinders, most) in enumerate(GENERATED):
        dice, path, blank = random.Random(seed), folder / f"{family}.yaml", folder / "blank.uai"
        ours("new", path, "--name", family, "--family", family, "--cylinders", cylinders)
        ours("rank", path, "--force", "--export", blank)
        net, _ = read_uai(blank.read_text(), pathlib.Path(f"{blank}.evid").read_text())
        variables = json.loads(pathlib.Path(f"{blank}.json").read_text())["variables"]
        signs = [v for v, it in enumerate(variables) if "~" not in it["name"] and it["name"].partition("@")[0] in findings]
        shown = []
        while len(shown) < most:
            state = drawn(net, dice, len(net.names))
            shown = [v for v in signs if state[v] > 0]
        seen = dice.sample(shown, most) + dice.sample([v for v in signs if state[v] == 0], NOT_SEEN)
        readings = (f"{variables[v]['name'].removesuffix('@engine')}={variables[v]['states'][state[v]]}" for v in seen)
        ours("record", path, *readings)
        yield path


with tempfile.TemporaryDirectory() as scratch:
    folder = pathlib.Path(scratch)
    print(f"pyAgrum {gum.__version__}\n{'network':24} {'vars':>5} {'differ by':>9} {'own ms':>9} {'theirs ms':>9} {'ratio':>8}")
    standard(folder)
    generated(folder)
    for path in [*JOBS, *generated_jobs(folder)]:
        job(path, folder)
print(f"all agree; the furthest apart are {worst_of_all:.1e}")
