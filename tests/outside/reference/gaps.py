"""Distances: shell to shell, shell to the solid of a deck, foot to outline (sections 2 and 3)."""

import numpy as np


def edge_points(outline, at):
    """For each edge of a polygon the point nearest to `at` (an array of x, y); shape (points, edges, 2)."""
    start, end = outline, np.roll(outline, -1, axis=0)
    along = end - start
    share = ((at[:, None] - start) * along).sum(-1) / (along * along).sum(-1)
    return start + np.clip(share, 0, 1)[..., None] * along


def inside(outline, at):
    """Whether each of the points lies in the polygon (crossings of a ray towards +x)."""
    start, end = outline, np.roll(outline, -1, axis=0)
    x, y = at[:, :1], at[:, 1:]
    straddles = (start[:, 1] > y) != (end[:, 1] > y)
    with np.errstate(divide="ignore", invalid="ignore"):
        crossing = start[:, 0] + (y - start[:, 1]) * (end[:, 0] - start[:, 0]) / (end[:, 1] - start[:, 1])
    return (straddles & (x < crossing)).sum(1) % 2 == 1


def nearest_on_deck(deck, centres):
    """The points of the solid nearest to the centres, and the distances; inside the solid a distance is <= 0."""
    flat = centres[:, :2]
    edges = edge_points(deck.outline, flat)
    spans = np.linalg.norm(edges - flat[:, None], axis=-1)
    best = spans.argmin(1)
    rows = np.arange(len(centres))
    within = inside(deck.outline, flat)
    point = np.empty_like(centres)
    point[:, :2] = np.where(within[:, None], flat, edges[rows, best])
    point[:, 2] = np.clip(centres[:, 2], deck.bottom_m, deck.top_m)
    distance = np.linalg.norm(centres - point, axis=1)
    deep = within & (centres[:, 2] <= deck.top_m) & (centres[:, 2] >= deck.bottom_m)
    if deep.any():
        out = np.minimum.reduce([spans[rows, best], deck.top_m - centres[:, 2], centres[:, 2] - deck.bottom_m])
        distance = np.where(deep, -out, distance)
    return point, distance


def foot_margin(deck, x, y, radius):
    """How far the disc of a foot stays inside the outline; negative when it sticks out."""
    at = np.array([[x, y]])
    edge = np.linalg.norm(edge_points(deck.outline, at)[0] - at, axis=-1).min()
    return (edge if inside(deck.outline, at)[0] else -edge) - radius


def gaps(scene, centres, radii):
    """Free gaps of all pairs: shells (n x n, infinite on the diagonal) and shell/deck (n x decks)."""
    apart = np.linalg.norm(centres[:, None] - centres[None], axis=-1) - radii[:, None] - radii[None]
    np.fill_diagonal(apart, np.inf)
    decks = [nearest_on_deck(deck, centres)[1] - radii for deck in scene.decks.values()]
    return apart, np.array(decks).T.reshape(len(centres), len(decks))
