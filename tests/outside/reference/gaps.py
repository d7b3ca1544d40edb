"""Free gaps of all pairs: shell to shell, and shell to fixed body (a ground or a stone)."""

import numpy as np


def between_shells(centres, radii):
    """n x n, infinite on the diagonal; of one crew, or of many at once."""
    n = len(radii)
    apart = np.linalg.norm(centres[..., :, None, :] - centres[..., None, :, :], axis=-1) - radii[:, None] - radii
    apart[..., np.arange(n), np.arange(n)] = np.inf
    return apart


def to_body(body, centres, radii):
    return body.nearest(centres.reshape(-1, 3))[1].reshape(centres.shape[:-1]) - radii


def gaps(scene, centres, radii):
    """Shells to shells, and shells to bodies (n x bodies); of one crew, or of many at once."""
    bodies = [to_body(body, centres, radii) for body in scene.bodies]
    return between_shells(centres, radii), np.stack(bodies, -1) if bodies else np.zeros((*centres.shape[:-1], 0))


def gap(scene, centres, radii, i, j):
    """Of shell i and body j alone; bodies count after shells."""
    n = len(radii)
    if j < n:
        return between_shells(centres[..., [i, j], :], radii[[i, j]])[..., 0, 1]
    return to_body(scene.bodies[j - n], centres[..., i, :], radii[i])
