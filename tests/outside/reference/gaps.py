"""Free gaps of all pairs: shell to shell, and shell to fixed body (a ground or a stone)."""

import numpy as np


def gaps(scene, centres, radii):
    """Shells (n x n, infinite on the diagonal) and shell/body (n x bodies); of one crew, or of many at once."""
    n = len(radii)
    apart = np.linalg.norm(centres[..., :, None, :] - centres[..., None, :, :], axis=-1) - radii[:, None] - radii
    apart[..., np.arange(n), np.arange(n)] = np.inf
    bodies = [body.nearest(centres.reshape(-1, 3))[1].reshape(centres.shape[:-1]) - radii for body in scene.bodies]
    return apart, np.stack(bodies, -1) if bodies else np.zeros((*centres.shape[:-1], 0))
