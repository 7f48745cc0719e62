"""Statics of the kart against moments worked out by hand."""

import pytest

from advisor.physics.weight import share_moved


def test_moving_the_whole_kart_by_a_wheelbase_moves_all_the_weight() -> None:
    assert share_moved(160, 1.05, 160, 1.05) == pytest.approx(1.0)  # moments, by hand


def test_a_driver_behind_the_axle_lifts_the_front_and_one_on_the_tank_loads_it() -> None:
    # The extremes of the trade (common practice, no source): 43 % front as it stands, driver 75 kg of 165 kg.
    # Behind the axle, 0.6 m further back, he takes 26 points off the front; on the tank, 0.35 m forward, he adds 15.
    assert share_moved(75, 0.6, 165) == pytest.approx(0.26, abs=0.005)  # 75 * 0.6 / (165 * 1.05), by hand
    assert share_moved(75, -0.35, 165) == pytest.approx(-0.15, abs=0.005)


@pytest.mark.parametrize(("total", "wheelbase"), [(0, 1.05), (160, 0), (-1, 1.05)])
def test_impossible_masses_and_lengths_are_refused(total: float, wheelbase: float) -> None:
    with pytest.raises(ValueError, match="must be positive"):
        share_moved(75, 0.01, total, wheelbase)
