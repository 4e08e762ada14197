"""Bands from one pass over all trees: what is worked once, what has no band, and what does not depend on the order."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np
import pytest

from voltwright.papers.working import number
from voltwright.quantity import formula as formulas
from voltwright.quantity.band import BLOCK, scores, spreads
from voltwright.quantity.figure import working
from voltwright.quantity.formula import procedure
from voltwright.quantity.provenance import Origin
from voltwright.quantity.spread import EXACT, Spread, between, normal
from voltwright.quantity.units import Unit
from voltwright.quantity.work import Node, evaluate_all, leaf, total, work

One = Annotated[float, Unit("1")]


@dataclass(frozen=True)
class Trip:
    """A record of many results, as a simulation gives it."""

    energy: Any
    time: Any

    def __str__(self) -> str:
        return "a trip"


@pytest.fixture
def law(monkeypatch: pytest.MonkeyPatch) -> Callable[..., Any]:
    """Registers a law for one test alone."""
    monkeypatch.setattr(formulas, "_BY_FUNCTION", dict(formulas._BY_FUNCTION))
    return procedure(symbol="x", words="as a test wants")


def input_of(label: str, spread: Spread = EXACT, where: str = "") -> Node:
    middle = (spread.low + spread.high) / 2
    return leaf(middle, "1", label, Origin("assumed", where=where, reason="a test"), spread)


def simulated(law: Callable[..., Any], calls: list[Any], mass: Node) -> tuple[Node, Node]:
    @law
    def trip(mass: One) -> One:
        calls.append(mass)
        return Trip(2 * mass, 3 * mass)  # type: ignore[return-value]

    @law
    def energy_of(trip: Any) -> One:
        return trip.energy

    @law
    def time_of(trip: Any) -> One:
        return trip.time

    ran, again = work(trip, "Trip", mass=mass), work(trip, "The same trip", mass=mass)
    return work(energy_of, "Energy", trip=ran), work(time_of, "Time", trip=again.named("Under another name"))


def test_a_simulation_runs_once_for_all_figures(law: Callable[..., Any]) -> None:
    calls: list[Any] = []
    energy, time = simulated(law, calls, input_of("mass", between(1.0, 3.0)))
    assert (energy.value, time.value) == (4.0, 6.0)
    assert len(calls) == 2  # at the point, by name
    found = spreads({"energy": energy, "time": time, "energy again": energy.named("Energy")})
    assert len(calls) == 3
    assert found.band("energy") == pytest.approx((2 * 1.1, 2 * 2.9), abs=0.02)
    assert found.band("time") == pytest.approx((3 * 1.1, 3 * 2.9), abs=0.03)
    assert found.band("energy again") == found.band("energy")


def test_what_nothing_unsure_moves_is_not_worked_again(law: Callable[..., Any]) -> None:
    calls: list[Any] = []
    energy, _ = simulated(law, calls, leaf(2.0, "1", "mass", Origin("entered", where="m")))
    both = total("Both", [energy, input_of("other", between(1.0, 3.0))])
    found = spreads({"both": both, "energy": energy})
    assert len(calls) == 2
    assert found.band("energy") is None
    assert found.band("both") == pytest.approx((5.1, 6.9), abs=0.02)


def test_a_record_is_shown_by_its_name(law: Callable[..., Any]) -> None:
    energy, _ = simulated(law, [], input_of("mass", between(1.0, 3.0)))
    (ran,) = energy.inputs.values()
    assert number(ran) == "a trip"
    shown = working(energy)["inputs"][0]
    assert (shown["value"], shown["unit"], shown["kind"]) == ("a trip", "", "procedure")


def test_a_record_as_a_figure_has_no_band(law: Callable[..., Any]) -> None:
    energy, _ = simulated(law, [], input_of("mass", between(1.0, 3.0)))
    (ran,) = energy.inputs.values()
    assert spreads({"trip": ran}).band("trip") is None


@pytest.mark.parametrize("result", [3, 3.0, np.float64(3), np.array(3.0)])
def test_a_number_of_any_kind_is_a_float(law: Callable[..., Any], result: Any) -> None:
    @law
    def three(x: One) -> One:
        return result

    assert type(work(three, "Three", x=input_of("x")).value) is float


def reaching(law: Callable[..., Any], edge: float, beyond: float) -> Node:
    @law
    def reached(x: One) -> One:
        return np.where(np.asarray(x) > edge, beyond, x)  # type: ignore[return-value]

    return work(reached, "Reached", x=input_of("x", between(0.0, 1.0)))


def test_few_cases_without_a_value_widen_the_band(law: Callable[..., Any]) -> None:
    found = spreads({"it": reaching(law, 0.97, math.nan)})
    assert found.band("it") == pytest.approx((0.05 - 0.03, 0.95), abs=0.005)
    assert found.reasons == {}


@pytest.mark.parametrize("beyond", [math.nan, math.inf, -math.inf])
def test_many_cases_without_a_value_leave_no_band_and_say_so(law: Callable[..., Any], beyond: float) -> None:
    found = spreads({"it": reaching(law, 0.88, beyond)})
    assert found.band("it") is None
    assert found.shares == {}
    assert found.reasons == {"it": "no band: in 12 of 100 likely cases there is no such value"}


def test_the_order_of_the_trees_does_not_matter() -> None:
    leaves = [input_of(name, normal(10.0, 1.0), where="somewhere") for name in "abcdef"]
    trees = {f"{number}": total("some", [leaves[number], leaves[number - 1]]) for number in range(6)}
    turned = dict(reversed(trees.items()))
    forth, back = spreads(trees), spreads(turned)
    assert forth.low == back.low
    assert forth.high == back.high
    assert forth.shares == back.shares


def test_inputs_that_say_the_same_move_as_one() -> None:
    two = [input_of("a", normal(10.0, 3.0), "there") for _ in range(2)]
    low, high = spreads({"it": total("Sum", two)}).band("it") or (0.0, 0.0)
    assert (high - low) / 2 == pytest.approx(6.0, rel=0.02)
    assert spreads({"it": total("Sum", two)}).shares == {"it": {"there": 1.0}}


def test_a_long_chain_is_walked() -> None:
    node = input_of("a", between(1.0, 3.0))
    for _ in range(5000):
        node = total("and so on", [node])
    assert len(node.walk()) == 5001
    assert spreads({"it": node}).band("it") == pytest.approx((1.1, 2.9), abs=0.01)


@pytest.mark.parametrize("count", [1, 60, 200])
def test_shares_of_many_equal_inputs(count: int) -> None:
    inputs = [input_of(f"{number:03}", normal(10.0, 1.0)) for number in range(count)]
    shares = spreads({"it": total("Sum", inputs)}).shares["it"]
    assert sum(shares.values()) <= 1.0 + count * 5e-5  # each is rounded
    if count > 85:  # more than one fit has room for: the strongest only, and roughly
        assert max(shares.values()) < 0.1
    else:
        assert shares == pytest.approx(dict.fromkeys(shares, 1 / count), abs=2e-4)


def test_a_figure_has_no_share_of_what_it_is_not_worked_from(law: Callable[..., Any]) -> None:
    @law
    def apart(x: One, y: One) -> One:
        return (x - 10) * (y - 10)

    inputs = [input_of(f"{number:02}", normal(10.0, 1.0)) for number in range(20)]
    found = spreads({"all": total("All", inputs), "two": work(apart, "Two", x=inputs[3], y=inputs[4])})
    assert len(found.shares["all"]) == 20
    assert set(found.shares["two"]) <= {"03", "04"}


def test_what_does_not_move_has_no_share(law: Callable[..., Any]) -> None:
    @law
    def still(x: One) -> One:
        return 0 * np.asarray(x) + 5.0  # type: ignore[return-value]

    found = spreads({"it": work(still, "Still", x=input_of("x", between(0.0, 1.0)))})
    assert found.band("it") == (5.0, 5.0)
    assert found.shares == {"it": {}}


def test_only_what_is_asked_for_comes_back() -> None:
    first = input_of("a", between(0.0, 2.0))
    assert evaluate_all({"sum": total("Sum", [first, first])}, {id(first): 3.0}) == {"sum": 6.0}


def test_what_two_builds_have_in_common_takes_the_same_draws() -> None:
    """The second build lacks one unsure input and has another: sample by sample the rest is the same car."""
    one, two, three = (leaf(1.0, "kg", name, Origin("assumed", reason="a test"), normal(1.0, 0.1)) for name in "abc")
    base = spreads({"a": total("A", [one]), "b": total("B", [two])})
    variant = spreads({"b": total("B", [two]), "c": total("C", [three])}, beside=base)
    assert np.array_equal(base.cases["b"], variant.cases["b"])
    assert abs(np.corrcoef(base.cases["a"], variant.cases["c"])[0, 1]) < 0.2


def test_the_draws_of_an_input_do_not_hang_on_how_many_others_there_are() -> None:
    few, many = scores(40, 256), scores(BLOCK, 256)
    assert np.array_equal(few, many[:, :40])
    assert np.abs(np.corrcoef(many[:, :80].T) - np.eye(80)).max() < 0.6  # nor does one input follow another
