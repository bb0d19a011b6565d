"""How long choosing a programme takes, and how much longer it takes to try every set of movements.

Run from the root: python -m bench.choosing. Three invented people. "Whole" is everything a lead waits for: the usable
movements, the choice, the deal, the order and the gaps. Trying every set is timed on a few movements and scaled by the
number of sets; on those few both must find the same points, or the run ends with status 1.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from itertools import combinations
from math import comb
from time import process_time

from tests.dose.people import HOME, IRREGULAR, TODAY, WELL

from haleward.dose.choosing import best_set
from haleward.dose.choosing_score import Wanted, score
from haleward.dose.options import Options, options_for
from haleward.dose.prescription import prescribe
from haleward.dose.programme import draft_programme
from haleward.movement.library import default_library
from haleward.record import Band
from haleward.safety.protocol import default_protocol

FEW, FEW_CHOSEN = 16, 5
BANDS = replace(HOME, bands=(Band("long", 13.0, 2.4), Band("wide", 22.0, 5.0)), door_anchor=True)
PEOPLE = {"two bottles": WELL, "new, irregular pulse": IRREGULAR, "bottles and two bands": replace(WELL, kit=BANDS)}


def main() -> int:
    """Print one line for each person; status 1 if the two ways ever find other points."""
    protocol, library = default_protocol(), default_library()
    policy, same = protocol.policies.dose, True
    for title, record in PEOPLE.items():
        made = prescribe(record, protocol=protocol, library=library, today=TODAY)
        options = options_for(record, made, protocol=protocol, library=library)
        wanted, most = Wanted(policy, made.placement.balance_emphasis), 2 * policy.movements_most
        began = process_time()
        draft_programme(record, made, protocol=protocol, library=library, today=TODAY, version=1)
        whole = process_time() - began
        began = process_time()
        best_set(options, wanted, most=most)
        choice = process_time() - began
        few = options.eligible[:: max(len(options.eligible) // FEW, 1)][:FEW]
        began = process_time()
        by_hand = max(score(c, wanted) for n in range(FEW_CHOSEN + 1) for c in combinations(few, n))
        tried = process_time() - began
        same = same and by_hand == score(best_set(Options(few, ()), wanted, most=FEW_CHOSEN), wanted)
        every = sum(comb(len(options.eligible), n) for n in range(most + 1))
        slow = tried * every / sum(comb(len(few), n) for n in range(FEW_CHOSEN + 1))
        sys.stdout.write(
            f"{title}: {len(options.eligible)} usable movements; whole {whole * 1000:.0f} ms, the choice alone "
            f"{choice * 1000:.0f} ms; every one of {every:.1e} sets would take {slow / choice:.1e} times as long\n"
        )
    sys.stdout.write("Both ways find the same points.\n" if same else "The two ways differ.\n")
    return 0 if same else 1


if __name__ == "__main__":
    raise SystemExit(main())
