"""Reads a graph file with networkx (a general graph library) and prints what it found as JSON: an independent reader for tests.

Run: python3 read-graph.py FILE [ID]: with an ID also what can reach it.
"""

import json
import sys

import networkx

file, *asked = sys.argv[1:]
if file.endswith(".graphml"):
    graph = networkx.read_graphml(file, force_multigraph=True)
else:
    # Where no two edges join the same nodes networkx comes back with a plain graph.
    graph = networkx.MultiDiGraph(networkx.read_gexf(file))
json.dump(
    {
        "nodes": {node: data for node, data in graph.nodes(data=True)},
        "edges": [
            {**data, "id": data.get("id", key), "from": start, "to": end}
            for start, end, key, data in graph.edges(keys=True, data=True)
        ],
        "upstream": sorted(networkx.ancestors(graph, asked[0]) | {asked[0]}) if asked else [],
    },
    sys.stdout,
)
