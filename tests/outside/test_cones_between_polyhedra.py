"""ECOS against HiGHS: the cone answer lies between a polyhedral bound from below and one from above."""

from reference import sound
from reference.polyhedra import bound

SLACK = 1e-6


def test_cone_answers_lie_between_polyhedral_bounds(random_crews):
    solved, tight = 0, 0
    for _, crew in random_crews[:40]:
        for _, programme in sound.programmes(crew):
            for column in (0, 3):
                least = programme.by_cones(column)
                low, high = bound(programme, column, inner=False), bound(programme, column, inner=True)
                if least is None:
                    assert high is None
                    continue
                solved += 1
                assert low is not None and low <= least + SLACK
                assert high is None or least <= high + SLACK
                tight += high is not None and high - low <= 0.02 * max(1.0, high)
    assert solved >= 50 and tight >= 0.9 * solved
