"""Random networks written as circuit files, solved by the program, against networkx and numpy.

Environment: STRAPLINE is the path of the program. Seeded: every run makes the same networks.
"""

import json
import os
import random
import subprocess
import sys
import tempfile
import traceback
import warnings

import networkx
import numpy

STRAPLINE = os.environ.get("STRAPLINE", "strapline")
GRAPHS = 12 if os.environ.get("STRAPLINE_TESTS") == "few" else 60
WITHIN = 1e-9  # of the greatest value of its sort: what a pseudo-inverse in doubles keeps


warnings.simplefilter("ignore", FutureWarning)  # of networkx 2 about networkx 3


def write_circuit(folder, graph, sources):
    """A file for a multigraph whose edges carry `ohm`; a source is (into, out of, amperes)."""
    lines = ['reference "n0"']
    for k, (a, b, ohm) in enumerate(graph.edges(data="ohm")):
        lines.append(f'resistor "R{k}" {{ "n{a}", "n{b}", resistance = {ohm!r} }}')
    for k, (a, b, amps) in enumerate(sources):
        lines.append(f'source "J{k}" {{ "n{a}", "n{b}", current = {amps!r} }}')
    path = os.path.join(folder, "network.lua")
    with open(path, "w", encoding="utf-8") as file:
        file.write("\n".join(lines) + "\n")
    return path


def predict(graph, sources):
    """Volts by node number, and the answers of the parts by name."""
    with tempfile.TemporaryDirectory() as folder:
        path = write_circuit(folder, graph, sources)
        command = [STRAPLINE, "predict", path, "--format", "json"]
        done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode != 0:
        raise AssertionError(f"exit {done.returncode}: {done.stderr.strip()}")
    answer = json.loads(done.stdout)
    volts = {int(node["name"][1:]): node["voltage"] for node in answer["nodes"]}
    return volts, {part["name"]: part for part in answer["parts"]}


def near(label, got, wanted, scale):
    if not abs(got - wanted) <= WITHIN * scale:
        raise AssertionError(f"{label}: got {got!r}, wanted {wanted!r}")


def log_uniform(rng, low, high):
    return low * (high / low) ** rng.random()


def random_graph(rng, least, most):
    """Connected, parallel edges among them."""
    nodes = rng.randint(least, most)
    graph = networkx.MultiGraph()
    graph.add_nodes_from(range(nodes))
    for n in range(1, nodes):
        graph.add_edge(rng.randrange(n), n)
    for _ in range(rng.randrange(2 * nodes)):
        a, b = rng.sample(range(nodes), 2)
        graph.add_edge(a, b)
    for _, _, data in graph.edges(data=True):
        data["ohm"] = log_uniform(rng, 1e-2, 1e2)
    return graph


def check_distances(label, rng, graph, pairs):
    """The voltage that 1 A makes between two nodes is networkx's resistance distance."""
    for _ in range(pairs):
        a, b = rng.sample(sorted(graph.nodes), 2)
        volts, _ = predict(graph, [(a, b, 1.0)])
        wanted = networkx.resistance_distance(graph, a, b, weight="ohm", invert_weight=True)
        near(f"{label}, {a} to {b}", volts[a] - volts[b], wanted, wanted)


def test_resistance_distance_of_random_networks():
    rng = random.Random(1)
    for k in range(GRAPHS):
        check_distances(f"network {k}", rng, random_graph(rng, 2, 40), 1)


def test_resistance_distance_of_named_graphs():
    rng = random.Random(2)
    for make in (
        networkx.tetrahedral_graph,
        networkx.cubical_graph,
        networkx.octahedral_graph,
        networkx.dodecahedral_graph,
        networkx.icosahedral_graph,
        networkx.petersen_graph,
        networkx.heawood_graph,
        networkx.desargues_graph,
        networkx.tutte_graph,
        networkx.karate_club_graph,
        networkx.truncated_tetrahedron_graph,
    ):
        graph = networkx.MultiGraph(networkx.Graph(make().edges))
        networkx.set_edge_attributes(graph, 1.0, "ohm")
        check_distances(make.__name__, rng, graph, 3)


def test_adjacent_nodes_of_edge_transitive_graphs():
    """(n - 1)/edges."""
    rng = random.Random(3)
    for make in (networkx.dodecahedral_graph, networkx.icosahedral_graph, networkx.heawood_graph):
        graph = networkx.MultiGraph(make())
        networkx.set_edge_attributes(graph, 1.0, "ohm")
        a, b = rng.choice(list(graph.edges()))
        volts, _ = predict(graph, [(a, b, 1.0)])
        wanted = (graph.number_of_nodes() - 1) / graph.number_of_edges()
        near(make.__name__, volts[a] - volts[b], wanted, wanted)


def laplacian_volts(graph, sources):
    """Against node 0."""
    nodes = graph.number_of_nodes()
    matrix, fed = numpy.zeros((nodes, nodes)), numpy.zeros(nodes)
    for a, b, ohm in graph.edges(data="ohm"):
        for i, j, sign in ((a, a, 1), (b, b, 1), (a, b, -1), (b, a, -1)):
            matrix[i, j] += sign / ohm
    for a, b, amps in sources:
        fed[a] += amps
        fed[b] -= amps
    volts = numpy.linalg.pinv(matrix, hermitian=True) @ fed
    return volts - volts[0]


def test_voltages_currents_and_powers_by_the_laplacian():
    rng = random.Random(4)
    for _ in range(GRAPHS):
        graph = random_graph(rng, 2, 40)
        sources = []
        for _ in range(rng.randint(1, 5)):
            a, b = rng.sample(range(graph.number_of_nodes()), 2)
            sources.append((a, b, rng.uniform(-50.0, 50.0)))
        wanted = laplacian_volts(graph, sources)
        volts, parts = predict(graph, sources)
        scale = max(abs(wanted).max(), 1e-6)
        for n in graph.nodes:
            near(f"node {n}", volts[n], wanted[n], scale)
        for k, (a, b, ohm) in enumerate(graph.edges(data="ohm")):
            drop, part = wanted[a] - wanted[b], parts[f"R{k}"]
            near(f"R{k}, drop", part["drop"], drop, scale)
            near(f"R{k}, current", part["current"], drop / ohm, scale / ohm)
            near(f"R{k}, power", part["power"], drop * drop / ohm, scale * scale / ohm)
        for k, (a, b, amps) in enumerate(sources):
            part = parts[f"J{k}"]
            near(f"J{k}, current", part["current"], -amps, abs(amps))
            near(f"J{k}, power", part["power"], -amps * (wanted[a] - wanted[b]), abs(amps) * scale)


def test_what_is_not_joined_floats():
    graph = networkx.MultiGraph()
    graph.add_edge(0, 1, ohm=1.0)
    graph.add_edge(2, 3, ohm=1.0)
    volts, _ = predict(graph, [(0, 1, 2.0)])
    if volts[1] != -2.0 or volts[2] is not None or volts[3] is not None:
        raise AssertionError(f"wanted 0, -2, none, none; got {volts}")


def main():
    tests = [(name, test) for name, test in globals().items() if name.startswith("test_")]
    failed = 0
    for name, test in tests:
        try:
            test()
        except Exception:  # pylint: disable=broad-except
            failed += 1
            print(f"FAILED {name}")
            traceback.print_exc(file=sys.stdout)
    print(f"{len(tests) - failed} passed, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
