"""The whole input space as hypothesis strategies: every input by its type, limits and their neighbours favoured."""

import csv
from functools import cache
from pathlib import Path

from hypothesis import strategies as st

from haleward.exchange.guards import plausible_ranges
from haleward.safety.deciding import cases_of
from haleward.safety.gate import entry_gate, session_gate
from haleward.safety.inputs import default_inputs
from haleward.safety.parts import Rule
from haleward.safety.protocol import default_protocol
from haleward.web.assessment.questions import plausible_of
from tests.safety.people import ENTRY, HALL, HOME

PROTOCOLS = {name: default_protocol(name) for name in ("UK", "US", "EU")}
COMPUTED = {"screening_complete", "session_complete"}  # the gate works these out
INPUTS = {name: item for name, item in default_inputs().items() if name not in COMPUTED}
GATES = {
    "entry": entry_gate,
    "hall": lambda facts, protocol: session_gate(facts, protocol, place="hall"),
    "home": lambda facts, protocol: session_gate(facts, protocol, place="home"),
}
with (Path(__file__).parent.parent / "checks" / "safety_worse.csv").open(encoding="utf-8") as file:
    WORSE = {row["input"]: row["worse"] for row in csv.DictReader(file)}


@cache
def limits(name):
    """Every case that some rule or risk item of some jurisdiction tells apart, for numbers with the steps beside it."""
    rules = [rule for protocol in PROTOCOLS.values() for rule in protocol.rules]
    items = [_as_rule(item) for protocol in PROTOCOLS.values() for item in protocol.stratification.items]
    return cases_of(name, [*rules, *items], {})


def _as_rule(item):
    return Rule(item.id, "entry", "ALL", "block", "none", item.condition, "", "", item.sources, item.trust)


@cache
def values(name):
    """A strategy for one input."""
    item = INPUTS[name]
    if item.kind == "bool":
        return st.booleans()
    if item.kind == "text":
        return st.sampled_from(item.values) if item.values else st.text(max_size=3)
    found = plausible_ranges()[plausible_of().get(name, "answer")]
    near = sorted({min(max(limit + step, found.low), found.high) for limit in limits(name) for step in (-1, 0, 1)})
    if item.unit in ("count", "NYHA class"):
        return st.one_of(st.sampled_from(near), st.integers(int(found.low), int(found.high)))
    return st.one_of(st.sampled_from(near), st.floats(found.low, found.high))


FACTS = st.fixed_dictionaries({}, optional={name: st.none() | values(name) for name in INPUTS})
BASES = st.sampled_from([ENTRY, HALL, HOME, {}])
FEW = st.sets(st.sampled_from(sorted(INPUTS)), max_size=6).flatmap(
    lambda names: st.fixed_dictionaries({name: st.none() | values(name) for name in sorted(names)})
)
# A person who may exercise with a few facts changed, so that every outcome is met; and now and then anybody at all.
NEARLY_WELL = st.builds(lambda base, changed: {**base, **changed}, BASES, FEW)
ANYBODY = st.one_of(NEARLY_WELL, NEARLY_WELL, NEARLY_WELL, FACTS)


@st.composite
def worsened(draw):
    """One input with two known values, the second the worse of the two."""
    name = draw(st.sampled_from(sorted(name for name, item in INPUTS.items() if worse_of(name, item))))
    worse = worse_of(name, INPUTS[name])
    if worse in ("yes", "no"):
        return name, worse == "no", worse == "yes"
    if "<" in worse:
        first, second = sorted(
            draw(st.lists(st.sampled_from(order := worse.split(" < ")), min_size=2, max_size=2)), key=order.index
        )
        return name, first, second
    first, second = draw(values(name)), draw(values(name))
    if worse.startswith("away from"):
        normal = float(worse.split()[-1])
        far, near = (max, min) if draw(st.booleans()) else (min, max)
        return name, far(normal, near(first, second)), far(normal, first, second)
    low, high = min(first, second), max(first, second)
    return (name, low, high) if worse == "higher" else (name, high, low)


def worse_of(name, item):
    """Which answer is the worse one; "" where neither is."""
    if item.kind == "bool":
        return "no" if item.worrying is False or name in ("can_self_monitor", *KNOWN) else "yes"
    return WORSE.get(name, "")


KNOWN = ("icd_detect_known", "pacemaker_rate_response_known", "rises_without_arms")
