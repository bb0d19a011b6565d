"""``haleward movements``: what the library holds, whether it is sound, and a sheet of its pictures."""

from __future__ import annotations

from argparse import Namespace
from difflib import get_close_matches
from pathlib import Path

from haleward.cli.output import say, say_json, write_files
from haleward.cli.progress import progress_bar
from haleward.errors import FileFault, HalewardError
from haleward.movement.checking import EVERYDAY, THOROUGH, check_files, movement_files
from haleward.movement.ladder_steps import ladder_rules
from haleward.movement.library import DEFAULT_FOLDER, default_library
from haleward.movement.model import Movement
from haleward.wording import Wording, default_wording

ACTIONS = ("check", "sheet")


def run(options: Namespace) -> int:
    """List every movement, show one, check files or draw the contact sheet."""
    _refuse_stray(options)
    if options.id == "check":
        return check(options)
    if options.id == "sheet":
        return sheet(options)
    movements, wording = default_library().movements, default_wording()
    if options.id and options.id not in movements:
        near = get_close_matches(options.id, [*movements, *ACTIONS], n=1)
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


def _refuse_stray(options: Namespace) -> None:
    """An option that the chosen action does not read is an error, not silence."""
    stray = {
        "a file or folder": options.path is not None and options.id != "check",
        "--thorough": options.thorough and options.id != "check",
        "--out": options.out is not None and options.id != "sheet",
        "--force": options.force and options.id != "sheet",
    }
    for name, given in stray.items():
        if given:
            wanted = "check" if name in ("a file or folder", "--thorough") else "sheet"
            raise HalewardError(f"{name} belongs to: haleward movements {wanted}.")


def check(options: Namespace) -> int:
    """Check movement files as written, in their words and on bodies of many sizes."""
    paths = movement_files(options.path or DEFAULT_FOLDER)
    how = THOROUGH if options.thorough else EVERYDAY
    faults = check_files(paths, default_wording(), how=how, progress=progress_bar("Checking movements"))
    if faults:
        raise FileFault(faults)
    files = "1 file" if len(paths) == 1 else f"{len(paths)} files"
    if options.json:
        say_json({"files": [path.name for path in paths], "bodies": len(how.sizes), "faults": []})
    else:
        say(f"{files}, each on {len(how.sizes)} bodies: nothing wrong was found. A clinician still has to look.")
    return 0


def sheet(options: Namespace) -> int:
    """Write the contact sheet of every movement and posture."""
    from haleward.render.movement_sheet import sheet_entries, sheet_html, sheet_pdf  # typesetter: loads slowly

    out: Path | None = options.out
    if out is None or out.suffix.lower() not in (".pdf", ".html"):
        raise HalewardError("Say where the sheet goes: --out FILE.pdf or --out FILE.html.")
    entries = sheet_entries(default_library(), default_wording(), progress=progress_bar("Drawing movements"))
    content = sheet_pdf(entries) if out.suffix.lower() == ".pdf" else sheet_html(entries).encode()
    write_files(out.parent, {out.name: content}, force=options.force)
    if options.json:
        say_json({"file": str(out), "forms": len(entries)})
    else:
        say(f"{out}: {len(entries)} movements in their postures.")
    return 0


def _plain(movement: Movement, wording: Wording) -> dict[str, object]:
    return {
        "id": movement.id,
        "category": movement.category,
        "region": movement.region,
        "prime_movers": list(movement.prime_movers),
        "reviewed_by": movement.reviewed_by,
        "ladder": [{"posture": s.posture, "kits": list(s.kits), "rule": s.rule} for s in movement.ladder],
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
                "faults": list(wording.movement(movement.id, posture).faults),
            }
            for posture, form in movement.postures.items()
        },
    }


def _shown(movement: Movement, wording: Wording) -> list[str]:
    lines = [f"{movement.id}: {movement.category}, {movement.region}; works {', '.join(movement.prime_movers)}"]
    lines.append(f"Reviewed by {movement.reviewed_by or 'nobody yet'}.")
    for posture, form in movement.postures.items():
        words = wording.movement(movement.id, posture)
        lines += ["", f"{words.title} ({posture.replace('_', ' ')})", f"  {words.purpose_one_line}"]
        lines += [f"  {line}" for line in words.setup]
        lines.append(f"  Kit: {', '.join(form.kits)}. Needs: {', '.join(form.needs) or 'nothing else'}.")
        lines += [f"  Common fault: {fault}" for fault in words.faults]
        lines += [f"  Caution, {kind.replace('_', ' ')}: {caution}" for kind, caution in form.cautions.items()]
    return [*lines, "", *_ladder(movement)]


def _ladder(movement: Movement) -> list[str]:
    lines = ["Ladder, easiest first"]
    for number, step in enumerate(movement.ladder, start=1):
        kits = " or ".join(kit.replace("_", " ") for kit in step.kits)
        lines.append(f"  {number}. {step.posture.replace('_', ' ')}, {kits}. {ladder_rules()[step.rule]}")
    return lines
