"""``haleward movements``: what the library holds."""

from __future__ import annotations

from argparse import Namespace
from difflib import get_close_matches

from haleward.cli.output import say, say_json
from haleward.errors import HalewardError
from haleward.movement.library import default_library
from haleward.movement.model import Movement
from haleward.wording import Wording, default_wording


def run(options: Namespace) -> int:
    """List every movement, or show one in each of its postures."""
    movements, wording = default_library().movements, default_wording()
    if options.id and options.id not in movements:
        near = get_close_matches(options.id, movements, n=1)
        hint = f"; did you mean {near[0]}?" if near else ". The list shows every one: haleward movements."
        raise HalewardError(f'There is no movement "{options.id}"{hint}')
    chosen = [movements[options.id]] if options.id else [movements[name] for name in sorted(movements)]
    if options.json:
        plain = [_plain(movement, wording) for movement in chosen]
        say_json(plain[0] if options.id else plain)
    elif options.id:
        say(*_shown(chosen[0], wording))
    else:
        say(*(f"{m.id}  {m.region}  {', '.join(m.postures)}" for m in chosen))
    return 0


def _plain(movement: Movement, wording: Wording) -> dict[str, object]:
    return {
        "id": movement.id,
        "category": movement.category,
        "region": movement.region,
        "prime_movers": list(movement.prime_movers),
        "postures": {
            posture: {
                "title": wording.movement(movement.id, posture).title,
                "kits": list(form.kits),
                "needs": list(form.needs),
                "each_side": form.each_side,
                "hold": form.hold,
                "narrow_base": form.narrow_base,
                "cautions": dict(form.cautions),
                "set_up": list(wording.movement(movement.id, posture).setup),
            }
            for posture, form in movement.postures.items()
        },
    }


def _shown(movement: Movement, wording: Wording) -> list[str]:
    lines = [f"{movement.id}: {movement.category}, {movement.region}; works {', '.join(movement.prime_movers)}"]
    for posture, form in movement.postures.items():
        words = wording.movement(movement.id, posture)
        lines += ["", f"{words.title} ({posture.replace('_', ' ')})", f"  {words.purpose_one_line}"]
        lines += [f"  {line}" for line in words.setup]
        lines.append(f"  Kit: {', '.join(form.kits)}. Needs: {', '.join(form.needs) or 'nothing else'}.")
        lines += [f"  Caution, {kind.replace('_', ' ')}: {caution}" for kind, caution in form.cautions.items()]
    return lines
