"""What load-sensitive tyres hold, and what the locked rear axle does to them. SI, slips as ratios.

Numbers or arrays of numbers go in alike; arrays give a result for each kart at once.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from advisor.physics.search import crossing

Real = NDArray[np.float64]
Number = Real | float
ROUNDS = 8  # of the search for the slip: the side force to a part in a thousand, see the tests
LEAST = 1e-9  # keeps divisions sound where a wheel carries nothing


def hold(load: Number, friction: Number, nominal: Number, exponent: Number) -> Real:
    """The most that a tyre holds along the ground [N].

    load [N]; friction: coefficient at the nominal load; nominal [N]; exponent: 1 for a coefficient that does not
    depend on the load. F = friction nominal (load / nominal)^exponent, with an exponent of 0.7 to 0.9 for car tyres
    (Milliken & Milliken, Race Car Vehicle Dynamics, 1995, figure 2.9, as quoted by an encyclopaedia). That a kart
    tyre is alike is an assumption.
    """
    share = np.maximum(np.asarray(load) / nominal, 0.0)
    return np.asarray(friction * nominal * share**exponent, dtype=np.float64)


def worked(slip: Number) -> Real:
    """Share of what a tyre holds that it gives at a slip, both as parts of the whole: 1 - (1 - x)^3, 1 from x = 1 on.

    The brush model with its parabolic pressure (E. Fiala, Seitenkräfte am rollenden Luftreifen, VDI-Z 96, 1954;
    H. B. Pacejka, Tire and Vehicle Dynamics, chapter 3; both from memory).
    """
    left = 1 - np.clip(slip, 0.0, 1.0)
    return np.asarray(1 - left * left * left, dtype=np.float64)


def slip_for(share: Number) -> Real:
    """The slip at which a tyre gives a share of what it holds; the other way round of `worked`, 1 for more than all."""
    return np.asarray(1 - np.cbrt(1 - np.clip(share, 0.0, 1.0)), dtype=np.float64)


@dataclass(frozen=True, slots=True)
class Axle:
    """What the locked rear axle does in a corner.

    side: side force [N]; moment: that resists the turn [N m]; drag: power lost to the slip along the wheels over
    the speed [N]; slip: side slip as a part of that at which the tyres slide wholly.
    """

    side: Real
    moment: Real
    drag: Real
    slip: Real


@dataclass(frozen=True, slots=True)
class Locked:
    """A locked axle in a corner: two wheels that turn alike on paths that do not.

    inner, outer: what each tyre holds [N]; spread: half the difference of their slips along the kart, track / (2
    radius), less what stagger takes off; track [m]; along: force that the axle gives, negative when braking
    [N]; full: the slip at which a tyre slides wholly, the same along and across.
    """

    inner: Number
    outer: Number
    spread: Number
    track: Number
    along: Number
    full: Number

    def at(self, slip: Number) -> Axle:
        """The axle at a side slip (as a part of the full one), with the speed that its force along asks for.

        The inner wheel is driven faster than its path and pushes, the outer one is held back: both turn the kart
        straight (F. Frendo, G. Greco & M. Guiggiani, Vehicle System Dynamics 44(6), 2006, on why the balance of such
        a kart depends on the corner). Slips along and across share one tyre (Pacejka, chapter 3, from memory).
        """
        return self._result(slip, self._settled(slip, 5))

    def _stiff(self, slip: Number, turn: Number) -> tuple[Real, Real, Real, Real]:
        """Slips along of both wheels, as parts of the full one, and force over slip of each [N]."""
        first, last = (turn + self.spread) / self.full, (turn - self.spread) / self.full
        found = []
        for along, most in ((first, self.inner), (last, self.outer)):
            whole = np.maximum(np.hypot(along, slip), LEAST)
            found.append(most * worked(whole) / whole)
        return np.asarray(first), np.asarray(last), found[0], found[1]

    def _turn(self, slip: Number, turn: Number) -> Real:
        """A better mean slip along for the force that the axle has to give: force over slip taken as it is now."""
        _, _, inner, outer = self._stiff(slip, turn)
        both = np.maximum(inner + outer, LEAST)
        aim = (self.along * self.full - (inner - outer) * self.spread) / both
        return np.asarray(np.clip(aim, -self.full, self.full), dtype=np.float64)

    def _result(self, slip: Number, turn: Number) -> Axle:
        first, last, inner, outer = self._stiff(slip, turn)
        push, pull = inner * first, outer * last
        return Axle(
            side=(inner + outer) * slip,
            moment=0.5 * self.track * (push - pull),
            drag=(push * first + pull * last) * self.full,
            slip=np.asarray(slip, dtype=np.float64),
        )

    def carrying(self, demand: Number, wheelbase: Number) -> Axle:
        """The axle at the slip where its side force and its moment over the wheelbase meet a demand [N].

        A demand that is more than the axle holds gives the axle at full slip.
        """
        turn = self._settled(0.0, 4)
        straight = self._over(0.0, turn, demand, wheelbase)
        far = np.where(straight > 0, -1.0, 1.0)  # a strong resistance asks the tail to lean the other way
        beyond = self._over(far, self._settled(far, 3), demand, wheelbase)

        def over(slip: Real) -> Real:
            nonlocal turn
            turn = self._nearer(slip, turn)
            return self._over(slip, turn, demand, wheelbase)

        outwards = far < 0
        slip = crossing(
            over,
            np.minimum(far, 0.0),
            np.maximum(far, 0.0),
            np.where(outwards, beyond, straight),
            np.where(outwards, straight, beyond),
            ROUNDS,
        )
        return self._result(slip, self._nearer(slip, turn))

    def _settled(self, slip: Number, rounds: int) -> Real:
        turn = 0.0 * np.asarray(self.inner + self.outer + self.spread)
        for _ in range(rounds):
            turn = self._nearer(slip, turn)
        return turn

    def _nearer(self, slip: Number, turn: Number) -> Real:
        """A mean slip along that is much nearer: two rounds and Aitken's step (Proc. Royal Soc. Edinburgh 46, 1926)."""
        one = self._turn(slip, turn)
        two = self._turn(slip, one)
        first, second = one - turn, two - one
        bent = second - first
        safe = np.abs(bent) > 1e-12
        step = np.where(safe, second * second / np.where(safe, bent, 1.0), 0.0)
        return np.asarray(np.clip(two - step, -self.full, self.full), dtype=np.float64)

    def _over(self, slip: Number, turn: Number, demand: Number, wheelbase: Number) -> Real:
        """By how much the axle at a slip is above a demand [N]."""
        now = self._result(slip, turn)
        return np.asarray(now.side + now.moment / wheelbase - demand, dtype=np.float64)
