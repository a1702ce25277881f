"""Values of ln Γ, of the gamma distribution and of beta quantiles from SciPy, for shapes from 1e-4 to 1e4.

Written once: python3 tests/worked-examples/gamma-beta.py > tests/worked-examples/gamma-beta.json (SciPy 1.10.1).
Arguments are short decimals; results have 15 digits.
"""

import math
import random

import scipy
from scipy import special, stats

SEED = 20261129
EACH_GAMMA, EACH_BETA, EACH_LOG = 900, 900, 200
LEAST = 1e-290

chance = random.Random(SEED)


def shape():
    return float(f"{10 ** chance.uniform(-4, 4):.6g}")


def log_gamma():
    x = shape()
    return [x, special.gammaln(x)]


def gamma():
    """A shape, an x, and the chances below and above it; x at a chance that may be anything, or at some ratio to the shape."""
    while True:
        a = shape()
        at = float(special.gammaincinv(a, chance.random())) if chance.random() < 0.6 else a * math.exp(chance.gauss(0, 1))
        x = float(f"{at:.9g}")
        row = [a, x, special.gammainc(a, x), special.gammaincc(a, x)]
        if x > LEAST and min(row[2:]) > LEAST:
            return row


def beta():
    """A chance, two shapes, and the quantile (Boost's, through stats.beta)."""
    while True:
        p = float(f"{chance.choice([0.05, 0.95, chance.random(), 10 ** chance.uniform(-9, -1)]):.6g}")
        a, b = shape(), shape()
        x = stats.beta.ppf(p, a, b)
        if LEAST < x < 1:
            return [p, a, b, x]


def rows(make, count):
    return "[\n" + ",\n".join("[" + ", ".join(f"{value:.15g}" for value in make()) + "]" for _ in range(count)) + "\n]"


print(
    "{\n"
    f'"source": "SciPy {scipy.__version__}",\n'
    f'"logGamma": {rows(log_gamma, EACH_LOG)},\n'
    f'"gamma": {rows(gamma, EACH_GAMMA)},\n'
    f'"betaQuantile": {rows(beta, EACH_BETA)}\n'
    "}"
)
