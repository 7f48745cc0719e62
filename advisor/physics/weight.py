"""Where the weight stands: statics of a rigid kart on level ground. SI units throughout."""

from __future__ import annotations

# A non-gearbox kart; the upper limit of its wheelbase is 1.07 m (memory), the lower 1.01 m (a national
# federation's competition rules, 2026, chapter 18). One figure in the middle, an assumption of ours.
WHEELBASE = 1.05  # [m]
# Kart with fuel and no driver, an assumption: federations ask for 150 to 175 kg with the driver.
KART_MASS = 90.0  # [kg]


def share_moved(mass: float, distance: float, total: float, wheelbase: float = WHEELBASE) -> float:
    """How much of the weight moves from the front to the rear axle.

    mass: what is moved [kg]; distance: how far to the rear [m]; total: kart and driver [kg]; wheelbase
    [m]. Returns a share of the whole weight, negative when it moves to the front. Moments about the
    front axle: the change of the rear load is m d / L (T. D. Gillespie, Fundamentals of Vehicle Dynamics, 1992, ch. 1).
    """
    if total <= 0 or wheelbase <= 0:
        raise ValueError("mass and wheelbase must be positive")
    return mass * distance / (total * wheelbase)
