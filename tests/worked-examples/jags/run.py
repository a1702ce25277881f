"""Makes reference.json: posterior shares of three yards by JAGS, a general sampler for Bayesian models.

Run from this folder, with JAGS and numpy installed: python3 run.py > reference.json
The yards are written twice, by hand: NAME.json for the project, NAME.jags and NAME.data for JAGS.
"""

import json
import pathlib
import re
import subprocess
import tempfile

import numpy

HERE = pathlib.Path(__file__).parent
CHAINS, FIRST, SWEEPS, THIN = 4, 20_000, 1_000_000, 25
BATCHES_PER_CHAIN = 20


def run(name):
    """Kept draws of every share: chains x draws x sources; and the version that JAGS says it is."""
    with tempfile.TemporaryDirectory() as folder:
        for end in ("jags", "data"):
            pathlib.Path(folder, f"yard.{end}").write_text((HERE / f"{name}.{end}").read_text())
        starts = []
        for chain in range(1, CHAINS + 1):
            start = f'".RNG.name" <- "base::Mersenne-Twister"\n".RNG.seed" <- {chain}\n'
            pathlib.Path(folder, f"start{chain}.data").write_text(start)
            starts.append(f"parameters in start{chain}.data, chain({chain})")
        words = [
            "model in yard.jags", "data in yard.data", f"compile, nchains({CHAINS})", *starts, "initialize",
            f"update {FIRST}", f"monitor share, thin({THIN})", f"update {SWEEPS}", "coda *",
        ]
        pathlib.Path(folder, "script").write_text("\n".join(words) + "\n")
        said = subprocess.run(["jags", "script"], cwd=folder, capture_output=True, text=True, check=True).stdout
        if "rror" in said:
            raise RuntimeError(said)
        size = len(pathlib.Path(folder, "CODAindex.txt").read_text().split("\n")) - 1
        chains = [
            numpy.loadtxt(pathlib.Path(folder, f"CODAchain{chain}.txt"), usecols=1).reshape(size, -1).T
            for chain in range(1, CHAINS + 1)
        ]
        return numpy.stack(chains), re.search(r"JAGS (\d+\.\d+\.\d+)", said).group(1)


def figures(draws):
    main = draws.argmax(axis=1)
    return numpy.stack(
        [
            draws.mean(axis=0),
            numpy.quantile(draws, 0.05, axis=0),
            numpy.quantile(draws, 0.95, axis=0),
            numpy.array([(main == source).mean() for source in range(draws.shape[1])]),
        ]
    )


def reference(name):
    chains, version = run(name)
    batches = [batch for chain in chains for batch in numpy.array_split(chain, BATCHES_PER_CHAIN)]
    # The standard error of each figure is that of its means over long batches.
    errors = numpy.std([figures(batch) for batch in batches], axis=0, ddof=1) / len(batches) ** 0.5
    whole = figures(chains.reshape(-1, chains.shape[2]))
    keys = ["share", "low", "high", "main"]
    sources = json.loads((HERE / f"{name}.json").read_text())["sources"]
    rows = {
        source: {
            key: {"is": round(float(whole[row, at]), 6), "error": round(float(errors[row, at]), 6)}
            for row, key in enumerate(keys)
        }
        for at, source in enumerate(sources)
    }
    return rows, version


def main():
    yards, version = {}, None
    for name in ("star", "line", "windows"):
        yards[name], version = reference(name)
    made = f"JAGS {version}, {CHAINS} chains, {FIRST} sweeps left out and {SWEEPS} kept, every {THIN}th read, seeds 1 to {CHAINS}"
    print(json.dumps({"made": made, "yards": yards}, indent=2))


main()
