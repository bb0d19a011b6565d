"""Write docs/progression.md: how the next dose is decided, with the states of the code.

    python docs/build_progression.py

A test fails when the written page differs from what this would write.
"""

from pathlib import Path

from haleward.dose.progress_machine import ROWS

PAGE = Path(__file__).with_name("progression.md")
TITLES = {
    "swap": "SWAP",
    "step_back": "STEP BACK",
    "ease": "EASE",
    "hold": "HOLD",
    "raise": "RAISE",
}
HEAD = """# How the next dose is decided

Written by `python docs/build_progression.py` from `haleward.dose.progress_machine`; do not edit. A test compares them.

After the logs, every exercise and the walking (a *line*) gets one proposal. Whatever is true of a line is a set of
signals, and the first row below whose signal is present decides. A raise needs every signal to be absent. The numbers
behind the signals are the section `[progression]` of the protocol. A proposal takes effect only when a lead accepts it;
easing is never held back, and `ease_down` gives one step easier on the person's own wish without any log.

## The states of a line
"""
PICTURE = """
                      a session is logged, the record changes, or a day passes
                                             |
                                             v
        +------------------------- read the signals anew --------------------------+
        |                                    |                                     |
   something asks for less          something stands against it           nothing stands against it
        |                                    |                                     |
        v                                    v                                     v
  SWAP, STEP BACK, EASE                    HOLD <-------- not accepted -------- RAISE
        |    at the easiest: REVIEW          |                                     |
        | accepted, or sessions go well      | what `otherwise` names happens      | accepted: next version
        +------------------------------------+-------------------------------------+
                                             |
                                             v
                             sessions at the new dose: read the signals anew
"""
TAIL = """
## Against the whole programme

A symptom, a gate that says not today, a pause that asks for the same dose or for a reassessment, a check that stopped
the last session, soreness beyond the protocol's days, a medicine that changed the pulse without a reading since, and an
expired heart-rate range are proposals of their own, and each adds the signal `obstacle` to every line. A symptom stands
until somebody has settled it, where the caller says what is settled (`settled`); sessions up to it never count again.

## What a raise changes

One thing, the first in the protocol's order that has room: repetitions (or seconds of a hold), sets, load, posture.
Under a new load or in a new posture the repetitions start again lower. In walking: minutes a bout, bouts joined, days,
and last the pace.

Where `one_raise_in` says "exercise", each line that is ready is raised (the default, decisions/0012); with "session" it
is one line in each part and the walking, with "programme" one of all. So a review may hold several raises; a lead
accepts them one by one or together.

While every set is as easy as `load_first_effort_at_most`, the load is not found yet: the next load comes before more
repetitions, after `finding_sessions` full sessions at the very dose, one of them watched by staff, and by at most
`finding_step_kg` for a large muscle. Without a heavier load, or unwatched, the usual rules hold.

## What holds, and where it is proved

| property | test |
|---|---|
| every set of signals but the empty one holds or eases; easing comes first | tests/dose/test_progress_machine.py |
| no raise after a symptom, a shut gate, an expired range | tests/dose/test_progression_proof.py |
| no raise after a missing effort, a pause or thin data | tests/dose/test_progression_properties.py |
| a bad report on top of any logs never leads to more | tests/dose/test_progression_proof.py |
| what is accepted may be signed, and raises one thing | tests/dose/test_progression_properties.py |
| from any logs some sessions lead on, to a raise or to the top | tests/dose/test_progression_proof.py |
| the same over ten weeks of invented people | tests/dose/test_courses.py, bench/courses.py |
"""


def page() -> str:
    """The whole page."""
    rows = ["| what is true | decision | rule |", "|---|---|---|"]
    rows += [
        f"| {row.signal or 'none'}: {row.meaning} | {TITLES[row.verdict]} | {row.rule_id or 'the step taken'} |"
        for row in ROWS
    ]
    return f"{HEAD}\n```text{PICTURE}```\n\n" + "\n".join(rows) + "\n" + TAIL


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
