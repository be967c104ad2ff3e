"""Networks as plain Python, read from BIF and UAI files by readers of our own."""

import re
from dataclasses import dataclass, field

import numpy as np


@dataclass
class Net:
    """Variables by number: names, states, and a table over (parents..., itself)."""

    names: list = field(default_factory=list)
    states: list = field(default_factory=list)
    scopes: list = field(default_factory=list)
    tables: list = field(default_factory=list)

    def ancestors(self, seeds):
        seen, stack = set(seeds), list(seeds)
        while stack:
            for parent in self.scopes[stack.pop()][:-1]:
                if parent not in seen:
                    seen.add(parent)
                    stack.append(parent)
        return seen


def read_bif(text):
    """Every row divided by its sum, as the program does it too."""
    net = Net()
    for m in re.finditer(r"variable\s+(\S+)\s*\{\s*type\s+discrete\s*\[\s*\d+\s*\]\s*\{([^}]*)\}", text):
        net.names.append(m[1])
        net.states.append([s.strip() for s in m[2].split(",")])
    number = {name: i for i, name in enumerate(net.names)}
    net.scopes = [None] * len(number)
    net.tables = [None] * len(number)
    for m in re.finditer(r"probability\s*\(([^)]*)\)\s*\{(.*?)\n\}", text, re.S):
        child, *parents = [number[n] for n in m[1].replace("|", " ").replace(",", " ").split()]
        table = np.full([len(net.states[p]) for p in parents + [child]], np.nan)
        for line in filter(None, (line.strip() for line in m[2].split(";"))):
            if line.startswith("("):
                of, numbers = line[1:].split(")", 1)
                row = tuple(net.states[p].index(s.strip()) for p, s in zip(parents, of.split(",")))
            else:
                row, numbers = (), line.removeprefix("table")
            table[row] = [float(x) for x in numbers.split(",")]
        net.scopes[child] = parents + [child]
        net.tables[child] = table / table.sum(axis=-1, keepdims=True)
    return net


def read_uai(text, evidence):
    """The network, and a likelihood over the states of each variable observed."""
    words = iter(text.split())
    next(words)
    card = [int(next(words)) for _ in range(int(next(words)))]
    scopes = [[int(next(words)) for _ in range(int(next(words)))] for _ in range(int(next(words)))]
    flat = [np.array([float(next(words)) for _ in range(int(next(words)))]) for _ in scopes]
    n = len(card)
    net = Net([str(i) for i in range(n)], [[str(s) for s in range(c)] for c in card], scopes[:n])
    net.tables = [t.reshape([card[v] for v in s]) for s, t in zip(scopes[:n], flat)]
    seen = {s[0]: likelihood for s, likelihood in zip(scopes[n:], flat[n:])}
    count, *pairs = [int(w) for w in evidence.split()]
    for var, state in zip(pairs[0::2], pairs[1::2]):
        seen[var] = np.eye(card[var])[state]
    assert len(pairs) == 2 * count
    return net, seen
