#!/usr/bin/env python3
"""Scan statistics by brute force, written from the papers with nothing but the standard library: what scan_outside_test.cpp is held against.

  scans.py ../shared/checks/data/nc_sids_spdata.csv ../shared/checks/data/pts_hagelloch.csv > scans.inc

Kulldorff 1997 (Poisson, section 3; Bernoulli, section 2), Kulldorff et al. 2006 (ellipses: ratios 1, 1.5, 2, 3, 4, 5 with 1, 4, 6, 9, 12, 15 angles, penalty
(4 s / (s + 1)^2)^0.5), Kulldorff et al. 1998 and Kulldorff 2001 (cylinders), Abrams, Kleinman & Kulldorff 2010 (Gumbel p). Every window is built anew, member by
member, without any of the orders, sums and shortcuts of the program; draws come from Python's own generator, so that p agrees within its own error only.
"""
import csv
import math
import random
import sys


def term(o, e):
    return o * math.log(o / e) if o > 0 else 0.0


def poisson(c, e, total, low=False):
    if (c >= e) if low else (c <= e):
        return 0.0
    return term(c, e) + term(total - c, total - e)


def bernoulli(c, n, total, units, low=False):
    if units <= n or (c / n >= (total - c) / (units - n) if low else c / n <= (total - c) / (units - n)):
        return 0.0

    def log_likelihood(k, m):
        return term(k, m) + term(m - k, m)
    return log_likelihood(c, n) + log_likelihood(total - c, units - n) - log_likelihood(total, units)


def forms(ellipses):
    yield 1.0, 0.0
    if ellipses:
        for ratio, angles in ((1.5, 4), (2, 6), (3, 9), (4, 12), (5, 15)):
            for k in range(angles):
                yield float(ratio), math.pi * k / angles


def windows(places, exposure, largest, ellipses):
    """(centre, ratio, angle, radius, members): every set of places that one window holds, at most `largest` of the exposure."""
    most = largest * sum(exposure) * (1 + 1e-12)
    for ratio, angle in forms(ellipses):
        c, s = math.cos(angle), math.sin(angle)
        for centre, (px, py) in enumerate(places):
            def reach(q):
                dx, dy = q[0] - px, q[1] - py
                along, across = (dx * c + dy * s) / ratio, -dx * s + dy * c
                return math.hypot(along, across)
            distances = [reach(q) for q in places]
            radii = []
            for d in sorted(distances):
                if not radii or d > radii[-1] * (1 + 5e-10) + 1e-15:
                    radii.append(d)
                else:
                    radii[-1] = d
            for radius in radii:
                members = tuple(i for i, d in enumerate(distances) if d <= radius)
                if sum(exposure[i] for i in members) > most:
                    break
                yield centre, ratio, angle, radius, members


def spans(periods, kind):
    if kind == "none":
        return [(0, periods - 1)]
    if kind == "prospective":
        return [(periods - n, periods - 1) for n in range(1, periods // 2 + 1)]
    return [(a, b) for a in range(periods) for b in range(a, periods) if b - a + 1 <= periods // 2]


class Scan:
    """Windows of one centre with the same members, form and run of periods are one."""

    def __init__(self, places, exposure, periods=1, largest=0.5, ellipses=False, kind="none", model="poisson", low=False):
        self.exposure, self.periods, self.model, self.low = exposure, periods, model, low
        per_place = [sum(exposure[i * periods:(i + 1) * periods]) for i in range(len(places))]
        self.units = sum(exposure)
        self.centres = {}  # of each different window
        for centre, ratio, angle, radius, members in windows(places, per_place, largest, ellipses):
            for span in spans(periods, kind):
                self.centres.setdefault((members, span, ratio), set()).add(centre)
        self.all = []
        for members, span, ratio in self.centres:
            cells = tuple(i * periods + t for i in members for t in range(span[0], span[1] + 1))
            self.all.append((members, span, ratio, math.sqrt(4 * ratio / (ratio + 1) ** 2), cells, sum(exposure[k] for k in cells)))

    def llr(self, events, total, cells, inside):
        c = sum(events[k] for k in cells)
        if self.model == "bernoulli":
            return bernoulli(c, inside, total, self.units, self.low)
        return poisson(c, total * inside / self.units, total, self.low)

    def best(self, events):
        total = sum(events)
        return max(penalty * self.llr(events, total, cells, inside) for _, _, _, penalty, cells, inside in self.all)

    def clusters(self, events, most=5):
        total, taken, found = sum(events), set(), []
        ranked = []
        for members, span, ratio, penalty, cells, inside in self.all:
            ratio_of_likelihoods = self.llr(events, total, cells, inside)
            if ratio_of_likelihoods > 0:
                ranked.append((penalty * ratio_of_likelihoods, members, span, ratio, ratio_of_likelihoods, cells, inside))
        ranked.sort(key=lambda one: -one[0])
        # Each centre's best window alone, as is usual; of those the ones without a place in common with a better one.
        told, best = set(), []
        for one in ranked:
            centres = self.centres[one[1], one[2], one[3]]
            if centres - told:
                best.append(one)
            told |= centres
        ranked = best
        for statistic, members, span, ratio, llr, cells, inside in ranked:
            if taken & set(members):
                continue
            taken |= set(members)
            c, e = sum(events[k] for k in cells), total * inside / self.units
            found.append(dict(members=members, span=span, ratio=ratio, statistic=statistic, llr=llr, observed=c, expected=e,
                              risk=(c / e) / ((total - c) / (total - e)) if total > c else math.inf))
            if len(found) == most:
                break
        return found

    def draw(self, events, rng):
        total = int(sum(events))
        drawn = [0] * len(self.exposure)
        if self.model == "bernoulli":
            urn = [k for k, n in enumerate(self.exposure) for _ in range(int(n))]
            for k in rng.sample(urn, total):
                drawn[k] += 1
        else:
            for k in rng.choices(range(len(drawn)), weights=self.exposure, k=total):
                drawn[k] += 1
        return drawn

    def chances(self, events, statistics, replicates, seed):
        rng = random.Random(seed)
        maxima = [self.best(self.draw(events, rng)) for _ in range(replicates)]
        mean = sum(maxima) / replicates
        scale = math.sqrt(6 * sum((m - mean) ** 2 for m in maxima) / (replicates - 1)) / math.pi
        return [((1 + sum(m >= s for m in maxima)) / (1 + replicates), -math.expm1(-math.exp(-((s - mean) / scale + 0.57721566490153286)))) for s in statistics], mean, scale


def tell(name, scan, events, replicates, most=5):
    found = scan.clusters(events, most)
    chances, mean, scale = scan.chances(events, [one["statistic"] for one in found], replicates, 20) if replicates else ([(math.nan, math.nan)] * len(found), math.nan, math.nan)
    def number(value):
        return "kNan" if math.isnan(value) else repr(value)
    for one, (p, gumbel) in zip(found, chances):
        members = ", ".join(str(i) for i in one["members"])
        print(f'{{"{name}", {{{members}}}, {one["span"][0]}, {one["span"][1]}, {one["ratio"]!r}, {one["statistic"]!r}, {one["llr"]!r}, {float(one["observed"])!r}, {one["expected"]!r}, {one["risk"]!r}, {number(p)}, {number(gumbel)}, {replicates}}},')


def main():
    counties = list(csv.DictReader(open(sys.argv[1])))
    numbers = lambda rows, *names: [[float(r[n]) for n in names] for r in rows]
    places = [tuple(p) for p in numbers(counties, "x_miles", "y_miles")]
    sids74, births74, sids79, births79 = ([float(r[n]) for r in counties] for n in ("SID74", "BIR74", "SID79", "BIR79"))
    print("// name, members, first and last period, ratio, statistic, log likelihood ratio, observed, expected, relative risk, p, Gumbel p, replicates; by scripts/scans.py")
    tell("circles", Scan(places, births74, largest=0.5), sids74, 999)
    tell("low", Scan(places, births74, low=True), sids74, 199)
    tell("ellipses", Scan(places, births74, largest=0.2, ellipses=True), sids74, 99)
    tell("bernoulli", Scan(places, [b // 20 for b in births74], model="bernoulli", largest=0.3), sids74, 199)
    both = [v for pair in zip(sids74, sids79) for v in pair]
    births = [v for pair in zip(births74, births79) for v in pair]
    tell("two spans", Scan(places, births, periods=2, kind="retrospective", largest=0.3), both, 99)
    tell("last span", Scan(places, births, periods=2, kind="prospective", largest=0.3), both, 99)
    # Hagelloch, measles of 1861 (Pfeilsticker 1863; surveillance, spatstat): children by a lattice of 30 m and weeks; exposure: the children who live there.
    children = numbers(list(csv.DictReader(open(sys.argv[2]))), *sys.argv[3:6]) if len(sys.argv) > 5 else []
    if children:
        cell = lambda x, y: (math.floor(x / 30), math.floor(y / 30))
        first = min(t for _, _, t in children)
        keys = sorted({cell(x, y) for x, y, _ in children})
        periods = 1 + max(int((t - first) // 7) for _, _, t in children)
        events, exposure = [0.0] * (len(keys) * periods), [0.0] * (len(keys) * periods)
        for x, y, t in children:
            at = keys.index(cell(x, y))
            events[at * periods + int((t - first) // 7)] += 1
            for k in range(periods):
                exposure[at * periods + k] += 1
        lattice = [(30.0 * kx, 30.0 * ky) for kx, ky in keys]
        tell("weeks", Scan(lattice, exposure, periods=periods, kind="retrospective", largest=0.5), events, 99)
        tell("last weeks", Scan(lattice, exposure, periods=periods, kind="prospective", largest=0.5), events, 99)


main()
