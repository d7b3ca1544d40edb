"""Bonds as the tool reports them against graph algorithms of networkx."""

import networkx as nx

import kit


def forest(tree):
    """Edges from host to child, as the scene file has them."""
    graph = nx.DiGraph()
    graph.add_nodes_from(deck["name"] for deck in tree["deck"])
    graph.add_edges_from((module["on"], module["name"]) for module in tree["module"])
    return graph


def test_bonds_form_a_forest_rooted_on_decks(random_crews, inspected):
    for (tree, _), answer in zip(random_crews, inspected):
        graph = nx.DiGraph((bond["host"], bond["module"]) for bond in answer["load"]["bonds"])
        assert nx.is_branching(graph)
        assert {n for n, degree in graph.in_degree() if degree == 0} <= {deck["name"] for deck in tree["deck"]}
        assert set(graph.edges) == set(forest(tree).edges)


def test_what_each_module_carries(random_crews, inspected):
    for (tree, _), answer in zip(random_crews, inspected):
        graph = forest(tree)
        for module in answer["modules"]:
            assert len(set(module["carries"])) == len(module["carries"])
            assert set(module["carries"]) == nx.descendants(graph, module["module"])
            assert module["on"] == next(graph.predecessors(module["module"]))


def test_a_ring_of_bonds_is_refused(tmp_path):
    tree = kit.scene([{"name": "m0", "on": "ground", "at_m": [0, 0]}, {"name": "m1", "on": "m2", "toward": [0, 0, 1]},
                      {"name": "m2", "on": "m1", "toward": [1, 0, 0]}])
    run = kit.clamber("inspect", kit.write_toml(tree, tmp_path / "ring.toml"), "--json")
    assert run.returncode != 0 and "ring.toml" in run.stderr and ("m1" in run.stderr or "m2" in run.stderr)
