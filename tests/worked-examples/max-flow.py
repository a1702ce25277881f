"""Makes max-flow.json: minimum cut values of seeded random networks, by networkx (a general graph library).

Run: python3 tests/worked-examples/max-flow.py > tests/worked-examples/max-flow.json
The networks themselves are made anew in the test from the same seeds by the same generator, so only values are kept.
"""

import json

import networkx


def numbers(seed):
    """Lehmer's generator modulo 2^31 - 1 (Park and Miller 1988): exact in Python integers and in doubles alike."""
    state = seed * 104729
    while True:
        state = state * 48271 % 2147483647
        yield state


def network(seed):
    stream = numbers(seed)
    nodes = 4 + next(stream) % 30
    edges = []
    for _ in range(nodes * (2 + next(stream) % 3)):
        tail, head, capacity = next(stream) % nodes, next(stream) % nodes, next(stream) % 1000
        if tail != head:
            edges.append((tail, head, capacity))
    return nodes, edges


def value(seed):
    nodes, edges = network(seed)
    graph = networkx.DiGraph()
    graph.add_nodes_from(range(nodes))
    for tail, head, capacity in edges:
        if graph.has_edge(tail, head):
            graph[tail][head]["capacity"] += capacity
        else:
            graph.add_edge(tail, head, capacity=capacity)
    return networkx.minimum_cut_value(graph, 0, nodes - 1)


print(json.dumps({"library": f"networkx {networkx.__version__}", "values": [value(seed) for seed in range(1, 301)]}))
