"""The commands that compare_outputs.py runs: those of the docs, many on the demos, some on shared drawings."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from fnmatch import fnmatchcase
from pathlib import Path

BLOCK = re.compile(r"^```sh(?: exit=\d+)?\n(.*?)^```\n", re.MULTILINE | re.DOTALL)
SET_UP = "python3 -m venv"
BODY = """style = "shirt"
"seam sits" = "as drawn"
[[person]]
name = "Ada Thorn"
"shoulder length" = "5 1/4 in"
"armhole depth" = "7 1/4 in"
"upper arm girth" = "11 1/2 in"
"shoulder tip to bicep line" = "5 3/4 in"
choose = ["bicep: height kept"]
[[person]]
name = "Bo Lind"
unit = "cm"
"armhole depth" = "19 cm"
"upper arm girth" = "33 cm"
"""
SEEN = """inspect --json D
measure --json D
check --json D
walk --json D"""
PRINTED = """inspect D
measure --csv D --unit mm
check D
walk D"""
FITTED = """adjust D -o cap-raise.svg --do "cap-raise piece=P amount='1/4 in'"
adjust D -o cap-lower.svg --do "cap-raise piece=P amount='-1/8 in' at='1 in'" --unit mm
adjust D -o cap-redraw.svg --do "cap-redraw piece=P amount='1/4 in' within=whole"
adjust D -o ease-spread.svg --do "ease-spread piece=P amount='1/4 in' share-back=0.6"
adjust D -o bicep-height.svg --do "bicep-widen piece=P amount='1/2 in'"
adjust D -o bicep-hem.svg --do "bicep-widen piece=P amount='1/2 in' how=hem" --report bicep-hem.json
adjust D -o armhole.svg --do "armhole-adjust lower='1/4 in'"
adjust D -o notches.svg --do "notch-match to=cap"
adjust D -o allowance.svg --do "seam-allowance piece=P edge=hem width='1 1/4 in'"
adjust D -o blend.svg --do "edge-blend piece=P edge=cap"
adjust D --do "seam-check a='Front/side seam' b='Back/side seam'" --json --dry-run
adjust D -o ends.svg --ends "cap-ease='3/4 in'" --report ends.json
adjust D -o all.svg --do "cap-raise piece=P amount='1/8 in'" --do "ease-spread piece=P amount='1/8 in'" --json
adjust all.svg -o again.svg --from adjusted --do "armhole-adjust scoop='1/16 in'" --do notch-match
measure all.svg --from adjusted --csv
walk all.svg --from adjusted
walk D -o walked.svg
handout D -o drawn.pdf
handout all.svg -o adjusted.pdf --mini 1/4
handout bicep-hem.svg -o hem.pdf --paper letter --layers original,adjusted,measurements,working-lines
picture all.svg -o all.png
picture all.svg -o all.html
picture D -o drawn.html
advise D --body body.toml --person "Ada Thorn" -o advice.toml
adjust D --plan advice.toml -o advised.svg
plot D -o plot.svg"""
NEST = """adjust D -o all.svg --do "cap-raise piece=P amount='1/4 in'" --report all.json
adjust D -o one.svg --do "cap-raise piece=P amount='1/4 in'" --do "ease-spread piece=P amount='1/8 in'" --size 12
handout all.svg -o all.pdf --mini 1/4
handout D -o one.pdf --size 12 --pieces P
handout one.svg -o one-adjusted.pdf
picture all.svg -o all.html
picture one.svg -o one.png
walk D -o walked.svg --size 12
advise D --body body.toml --size 12
plot D -o plot.svg --size 12"""
HOSTILE = """handout D -o drawn.pdf --many
picture D -o drawn.png
picture D -o drawn.html
adjust D --do "cap-raise amount='1/4 in'" -o adjusted.svg"""
SHORT = """inspect D
adjust D -o blend.svg --do "edge-blend edge=cap"
adjust D -o all.svg --do "cap-raise amount='1/4 in'" --report all.json
handout all.svg -o all.pdf --mini 1/2
picture all.svg -o all.png"""

DEMO = """adjust smock.svg --plan smock.plan.toml -o planned.svg --report planned.json
adjust planned.svg --from adjusted --do "cap-raise amount='-1/8 in'" -o lowered.svg --json
adjust planned.svg --do "cap-redraw amount='1/4 in' within=whole" -o anew.svg --unit cm
adjust smock.svg --plan smock.plan.toml -o planned.svg
adjust smock.svg --plan smock.plan.toml -o planned.svg --force --quiet
adjust smock.svg --ends "bicep-width='14 in' cap-height='5 3/4 in' cap-ease='3/4 in'" -o ends.svg --report ends.json
adjust smock-sleeve-cut-line.svg --do "cap-raise amount='1/4 in'" -o cut-line.svg
adjust smock-sleeve-cut-line.svg --do "seam-allowance edge=hem width='2 in'" -o cut-line-hem.svg
handout planned.svg -o mini.pdf --mini 1/4 --paper letter
picture planned.svg -o planned.html
picture planned.svg -o planned.png --layers original,adjusted,working-lines --width 900
picture planned.svg -o dpi.png --layers measurements --dpi 40
walk planned.svg --from adjusted -o walked.svg
picture walked.svg -o walked.html
handout walked.svg -o walked.pdf
walk smock.svg --style "tailored jacket" --json
check planned.svg --from adjusted
inspect planned.svg --json
measure planned.svg --from adjusted --json --unit cm
plot planned.svg --from adjusted -o plot.svg
! sed 's/C 794.*839,75/C 763,211 790,176 817.6,142.2 C 855,110 874,75/' D > jog.svg
adjust jog.svg --do "edge-blend piece=Sleeve edge=cap" -o blended.svg"""
TEACHING = """inspect D --json
adjust D -o raised.svg --do "cap-raise amount='1/8 in'" --do "bicep-widen amount='1/4 in' how=hem" --report raised.json
adjust D -o eased.svg --do "ease-spread amount='1/4 in' at=0.7 drop='1 in'" --do "seam-allowance width='1/4 in'"
adjust D smock.svg --do "cap-raise piece='Class sleeve' amount='1/8 in'" -o both
adjust D smock.svg --do "cap-raise piece='Class sleeve' amount='1/8 in'" -o both.svg
handout raised.svg -o raised.pdf --mini 1/2
handout eased.svg -o eased.pdf --mini 1/8 --paper letter
handout raised.svg -o plain.pdf --no-teaching
picture raised.svg -o raised.html
picture raised.svg -o raised.png"""
SIZES = """adjust D --plan smock-sizes.plan.toml -o planned.svg --report planned.json
picture planned.svg -o planned.html
handout planned.svg -o planned.pdf --mini 1/4
adjust planned.svg --from adjusted --do "cap-raise amount='-1/8 in'" -o lowered.svg --sizes 10,14
walk planned.svg --from adjusted --json --size 14
walk D -o walked.svg --size 8
check D --sizes 8,10
measure planned.svg --from adjusted --csv
picture planned.svg -o planned.png
picture planned.svg -o one.html --size 12
handout planned.svg -o one.pdf --size 16 --pieces Sleeve
advise D --body players.toml --size 12
advise D --body players.toml
plot D -o plot.svg --size 10
plot D -o all.svg
inspect D"""
PAPERS = """adjust D --plan smock.plan.toml -o planned.svg --quiet
handout planned.svg -o a4.pdf --paper a4 --orientation landscape
handout planned.svg -o a3.pdf --paper a3 --colours as-drawn
handout planned.svg -o a2.pdf --paper a2 --unit mm
handout planned.svg -o a1.pdf --paper a1 --layers original
handout planned.svg -o a0.pdf --paper a0 --layers adjusted,measurements,working-lines
handout planned.svg -o letter.pdf --paper letter --margin '1 in' --overlap '1/2 in'
handout planned.svg -o legal.pdf --paper legal --pieces Sleeve,Front
handout planned.svg -o tabloid.pdf --paper tabloid --no-teaching
handout planned.svg -o arch-e.pdf --paper arch-e --mini 1/2
handout planned.svg -o either.pdf --paper a4+letter --orientation portrait
handout D -o roll.pdf --paper 914mmx1400mm --unit cm
handout D -o tiny.pdf --paper 100mmx100mm"""
ADVICE = """advise D --body players.toml
advise D --body players.toml -o plans --quiet
advise D --body players.toml --json
advise D --body players.toml --person "Ines Marlow" --choose "bicep: cap length kept" -o ines.toml
adjust D --plan ines.toml -o ines.svg --report ines.json
advise D --body body.toml --style coat --person "Ada Thorn"
advise D --body body.csv
advise D --body body.toml --person Nobody
advise --measures"""
WORDS = """operations
plugins
demo out
demo out
completion
completion bash
completion zsh
completion fish
! COMP_WORDS="svgfit a" COMP_CWORD=1 _SVGFIT_COMPLETE=bash_complete svgfit
! COMP_WORDS="svgfit adjust D --do cap" COMP_CWORD=4 _SVGFIT_COMPLETE=bash_complete svgfit
! COMP_WORDS="svgfit adjust D --pl" COMP_CWORD=3 _SVGFIT_COMPLETE=bash_complete svgfit
! _SVGFIT_COMPLETE=zsh_source svgfit
--version"""
MENU = """! mkdir extensions
editor-menu --to extensions
editor-menu --to extensions --dry-run --json
! python extensions/svgfit/svgfit_launcher.py --svgfit-ask=do-cap-raise --step-amount='1/4 in' D > raised.svg
! python extensions/svgfit/svgfit_launcher.py --svgfit-ask=do-cap-raise --step-amount=1 D > wrong.svg
! python extensions/svgfit/svgfit_launcher.py --svgfit-ask=ends --end-cap-ease='1 in' --svgfit-tell=true D > ends.svg
! python extensions/svgfit/svgfit_launcher.py --svgfit-ask=plan --svgfit-plan=$PWD/smock.plan.toml D > planned.svg
! DOCUMENT_PATH=$PWD/D python extensions/svgfit/svgfit_launcher.py --svgfit-ask=handout --svgfit-paper=a4 raised.svg
editor-menu --to extensions --remove
editor-menu --to nowhere"""
REFUSED = """adjust D --do "cap-raise amount=1/4" -o x.svg
adjust D --do "cap-rise amount='1/4 in'" -o x.svg
adjust D --do "cap-raise amont='1/4 in'" -o x.svg
adjust D --do "cap-raise amount='1/4 in' height='6 in'" -o x.svg
adjust D --do "cap-raise piece=Front amount='1/4 in'" -o x.svg
adjust D --do "cap-raise amount='9 in'" -o x.svg
adjust D --do "ease-spread ease='3 in'" -o x.svg
adjust D --do "bicep-widen amount='-9 in' how=hem" -o x.svg
adjust D --do "seam-check a=Sleeve/cop b=Front/armhole" -o x.svg
adjust D --do "armhole-adjust lower='12 in'" -o x.svg
adjust D --do notch-match
adjust D -o x.svg
adjust D --plan missing.toml -o x.svg
adjust D --plan svgfit.toml -o x.svg
adjust D --ends "cap-easy='1 in'" -o x.svg
adjust D --ends "cap-height='2 in' cap-ease='4 in'" -o x.svg
adjust D --from adjusted --do notch-match -o y.svg
adjust D --do notch-match -o D
adjust D --do notch-match -o y.svg --without notch-match
adjust D --do notch-match -o y.svg --convention missing.toml
measure D --size 12
measure smock-sizes.svg --sizes 12,99
measure D --unit ell
handout D -o wrong.pdf --paper leter
handout D -o wrong.pdf --mini 4
handout D -o wrong.pdf --pieces Cuff
handout D -o wrong.pdf --margin 3
picture D -o wrong.gif
picture D -o wrong.png --layers nothing
plot teaching-sleeve.svg -o wrong.svg
walk teaching-sleeve.svg
walk D --style armour
operations cap-rise
completion tcsh
demo D
inspect missing.svg
inspect svgfit.toml
nonsense"""
EDITED = """adjust D --plan smock.plan.toml -o planned.svg --quiet
! sed 's/stroke-width:0.365/stroke-width:0.5/' planned.svg > edited.svg
inspect edited.svg
adjust edited.svg --do "cap-raise amount='1/8 in'" -o beside.svg
adjust edited.svg --do "cap-raise amount='1/8 in'" -o without.svg --discard-edits
adjust edited.svg --from adjusted --do "cap-raise amount='1/8 in'" -o on.svg
handout planned.svg -o scaled.pdf --scale 90
measure planned.svg --scale 90 --json"""
COMMANDS = """inspect
measure
adjust
watch
check
walk
advise
plot
handout
picture
editor-menu
demo
operations
operations armhole-adjust
operations bicep-widen
operations cap-raise
operations cap-redraw
operations ease-spread
operations edge-blend
operations notch-match
operations seam-allowance
operations seam-check
plugins
completion"""
SLOW = {"hostile/curvy-self-cross", "hostile/marker-chain-3-25"}
"""Cases with commands that take a minute each and on a busy machine longer than the limit: only run when asked for."""
SLOW_PICTURES = {"hostile/opacity-100-paths", "hostile/scan-a0-600"}
"""Half a minute each as PNG, which is left out."""
QUICK = {
    *("docs/README", "docs/plugins", "help", "demo", "refused", "menu", "teaching", "fitter/dress", "shapes/s12/set"),
    *("dialects/08_coreldraw", "dialects/24_inkscape_compressed", "reports/b05", "makers/lang"),
}
"""Cases of ``--quick``."""


@dataclass(frozen=True)
class Step:
    name: str
    command: str
    shell: bool = False


@dataclass(frozen=True)
class Case:
    name: str
    steps: tuple[Step, ...]
    inputs: tuple[tuple[str, bytes], ...] = ()
    project: bool = False  # runs in a copy of the checkout


def steps_of(text: str, drawing: str, piece: str = "Sleeve") -> tuple[Step, ...]:
    """A line a command of svgfit, or with ``!`` before it of bash; the words D and P are the drawing and its sleeve."""
    found = []
    for number, line in enumerate(text.splitlines(), 1):
        line = re.sub(r"(?<![\w/-])D(?![\w-])|(?<=\$PWD/)D\b", lambda _: drawing, line)
        line = re.sub(r"(?<![\w/-])P(?![\w-])", piece, line)
        words = line.removeprefix("! ").split()
        target = words[words.index("-o") + 1] if "-o" in words else ""
        found.append(Step(f"{number:02} {words[0]} {target}".strip(), line.removeprefix("! "), line.startswith("! ")))
    return tuple(found)


def docs_cases(checkout: Path) -> Iterable[Case]:
    for page in [checkout / "README.md", *sorted((checkout / "docs").glob("*.md"))]:
        blocks = []
        for match in BLOCK.finditer(page.read_text(encoding="utf-8")):
            lines = [line for line in match[1].splitlines() if not line.startswith(SET_UP)]
            if lines:
                blocks.append(Step(f"{len(blocks) + 1:02} {lines[-1][:60].replace('/', '|')}", "\n".join(lines), True))
        if blocks:
            yield Case(f"docs/{page.stem}", tuple(blocks), project=True)


def demo_cases(checkout: Path) -> Iterable[Case]:
    body = (("body.toml", BODY.encode()), ("body.csv", b"name,upper arm girth (cm),style\nCy Fenn,29,coat\n"))
    inputs = (*((path.name, path.read_bytes()) for path in sorted((checkout / "demo_svgs").iterdir())), *body)
    asked = [name if " " in name else f"{name} --help" for name in ("", *COMMANDS.splitlines())]
    helps = [Step(each.strip(), each.strip()) for each in asked]
    yield Case("help", (*helps, *steps_of(WORDS, "smock.svg")))
    tables = {"demo": DEMO, "papers": PAPERS, "advice": ADVICE, "menu": MENU, "refused": REFUSED, "edited": EDITED}
    for name, table in tables.items():
        yield Case(name, steps_of(table, "smock.svg"), inputs)
    yield Case("sizes", steps_of(SIZES, "smock-sizes.svg"), inputs)
    yield Case("teaching", steps_of(TEACHING, "teaching-sleeve.svg"), inputs)


def table_of(name: str) -> str:
    """Which commands suit a drawing of the shared cases."""
    if name.startswith("fitter/nest/"):
        return f"{SEEN}\n{NEST}"
    if name.startswith(("fitter/", "shapes/s", "shapes/armhole", "makers/w_T")):
        return f"{SEEN}\n{PRINTED}\n{FITTED}"
    if name.startswith("reports/"):
        return f"{SEEN}\ninspect D"
    if name in SLOW_PICTURES:
        return "\n".join(line for line in f"{SEEN}\n{HOSTILE}".splitlines() if not line.endswith(".png"))
    return "\n".join([SEEN, HOSTILE if name.startswith("hostile/") else SHORT])


def shared_cases(folder: Path, checkout: Path) -> Iterable[Case]:
    root = folder / "cases" if (folder / "cases").is_dir() else folder
    for path in sorted(root.rglob("*")):
        name = path.relative_to(root).with_suffix("").as_posix()
        content = path.read_bytes() if path.is_file() else b""
        if path.suffix in (".svg", ".svgz"):
            inputs = [(path.name, content), ("body.toml", BODY.encode())]
            if (beside := path.parent / "svgfit.toml").is_file():
                inputs.append(("svgfit.toml", beside.read_bytes()))
            piece = "SLEEVE" if name.startswith("fitter/nest/") else "Sleeve"
            yield Case(name, steps_of(table_of(name), path.name, piece), tuple(inputs))
        elif path.suffix == ".toml" and path.name != "svgfit.toml":
            smock = (checkout / "demo_svgs" / "smock.svg").read_bytes()
            line = f"adjust D --plan {path.name} -o x.svg"
            yield Case(name, steps_of(line, "smock.svg"), ((path.name, content), ("smock.svg", smock)))
        elif path.suffix in (".pdf", ".dxf", ".gz"):
            yield Case(
                path.relative_to(root).as_posix(), steps_of("inspect --json D", path.name), ((path.name, content),)
            )


def chosen_cases(checkout: Path, shared: Path | None, quick: bool, pattern: str | None) -> tuple[list[Case], list[str]]:
    """The cases to run, and names of slow ones left out; docs, demos and plans are those of the checkout."""
    cases = [*docs_cases(checkout), *demo_cases(checkout), *(shared_cases(shared, checkout) if shared else ())]
    if pattern:
        return [case for case in cases if fnmatchcase(case.name, f"*{pattern}*")], []
    if quick:
        return [case for case in cases if case.name in QUICK], []
    return [case for case in cases if case.name not in SLOW], [case.name for case in cases if case.name in SLOW]
