"""The neighbourhood of one entry of the knowledge as a picture: what brings it about on one side, what it leads to on the other."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from diagnose.knowledge.knowledge import Knowledge
from diagnose.report.entry_parts import share

if TYPE_CHECKING:
    from pathlib import Path

LONGEST = 26  # letters of a name before it is broken in the drawing


def edges(name: str, knowledge: Knowledge) -> list[tuple[str, str, str]]:
    """Arrows into and out of `name`: from, to, and what stands on the arrow. Work hangs on too: what finds it, what mends it."""
    return sorted(set(_edges(name, knowledge)))


def _edges(name: str, knowledge: Knowledge) -> Iterator[tuple[str, str, str]]:
    k = knowledge
    for cause in (*k.faults, *k.effects):
        for link in k.links_from(cause):
            if name in (cause, link.to):
                yield cause, link.to, share(link.chance)
    for fault in k.faults.values():
        for after in fault.likelier_after:
            if name in (after.event, fault.id):
                yield after.event, fault.id, f"adds {share(after.chance)}"
    for procedure in k.procedures.values():
        for finding in procedure.gives:
            if name in (procedure.id, finding):
                yield procedure.id, finding, f"looks for it, {procedure.minutes:g} min"
    for repair in k.repairs.values():
        for removed in repair.removes:
            if name in (repair.id, removed):
                yield repair.id, removed, f"mends it, {repair.hours:g} h"


def tree(name: str, knowledge: Knowledge) -> list[str]:
    """Two trees for the terminal, one line a name: what leads here, and where it leads."""
    import networkx as nx

    lines = []
    known = edges(name, knowledge)
    for title, arrows in (
        ("comes from, or is found or mended by", [(a, t) for a, b, t in known if b == name]),
        ("leads to", [(b, t) for a, b, t in known if a == name]),
    ):
        if not arrows:
            continue
        graph = nx.DiGraph()
        graph.add_node(name, label=f"{knowledge.name_of(name)} [{name}] {title}:")
        for other, text in arrows:
            graph.add_node(other, label=f"{text}: {knowledge.name_of(other)} [{other}]")
            graph.add_edge(name, other)
        lines += list(nx.generate_network_text(graph, sources=[name], ascii_only=True))
    return lines or [f"{knowledge.name_of(name)} [{name}] stands alone."]


def draw(name: str, knowledge: Knowledge, path: Path) -> None:
    """The same as a picture in `path` (SVG). Raises ImportError where the drawing library is not installed, OSError for the file."""
    import matplotlib
    import networkx as nx
    from matplotlib.backends.backend_svg import FigureCanvasSVG
    from matplotlib.figure import Figure

    graph = nx.DiGraph()
    graph.add_node(name, layer=1)
    for one, other, text in edges(name, knowledge):
        graph.add_node(one, layer=0 if other == name else 1)
        graph.add_node(other, layer=2 if one == name else 1)
        graph.add_edge(one, other, text=text)
    sides = [sum(1 for _, layer in graph.nodes(data="layer") if layer == side) for side in (0, 2)]
    matplotlib.rcParams["svg.hashsalt"] = name  # the same picture has the same bytes
    figure = Figure(figsize=(12.0, max(3.0, 0.8 * max(sides))))
    FigureCanvasSVG(figure)
    axes = figure.subplots()
    where = nx.multipartite_layout(graph, subset_key="layer")
    labels = {n: _broken(knowledge.name_of(n)) for n in graph}
    nx.draw_networkx_edges(graph, where, ax=axes, edge_color="#888888", node_size=2500)
    nx.draw_networkx_labels(graph, where, labels, ax=axes, font_size=8, bbox={"facecolor": "white", "edgecolor": "#444444"})
    texts: dict[Any, str] = {(a, b): t for a, b, t in graph.edges(data="text")}
    nx.draw_networkx_edge_labels(graph, where, texts, ax=axes, font_size=7, rotate=False)
    axes.margins(0.2, 0.1)
    axes.set_axis_off()
    figure.savefig(path, format="svg", metadata={"Date": None})


def _broken(name: str) -> str:
    import textwrap

    return "\n".join(textwrap.wrap(name, LONGEST))
