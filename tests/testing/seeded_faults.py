"""Faults put on purpose into the plugin that `tiecoat plugin new` lays out, one at a time.

Each says which check must find it, and what that must tell.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

PLUGIN, EVALUATION, COMMAND = "falling.py", "evaluate_falling.py", "command_falling.py"
COMMAND_LAID_OUT = """\
import tiecoat
from tiecoat.plugin import CommandAnswer, LabCommand, hookimpl


def run(lab, options, told):
    drops = tiecoat.open(lab).read("falling")
    return CommandAnswer(0, [f"{len(drops)} drops"], values={"drops": len(drops)})


@hookimpl
def tiecoat_commands():
    answers = {"drops": ("whole", "drops that are filed")}
    return [LabCommand("drops", "count drops", run, answers=answers)]
"""
READING = "        for table in export.tables(self.titles):\n"
HEIGHT_BY_HAND = """[
                        {height} for one in drops.text().splitlines()[1:] for c in [one.split(";")]
                    ]"""
BY_HAND = """\
        from datetime import UTC, datetime
        lines = export.text().splitlines()
        rows = [n for n in range(5, len(lines) + 1) if lines[n - 1].strip()]
        cells = [(lines[n - 1].split(";") + ["", ""])[:3] for n in rows]
        yield Measurement(
            columns={{
                "drop": [float(one[0]) for one in cells],
                "height_mm": [{height} for one in cells],
                "finding": [one[2] or "no crack" for one in cells],
            }},
            rows=rows,
            panel=lines[0].split(";")[1],
            measured_at=datetime(2026, 9, 14, 8, 12, tzinfo=UTC),
        )
        return
"""
KEPT = """\
    last = {}

    def kept(self, panel):
        self.last["panel"] = panel or self.last.get("panel")
        return self.last["panel"]

"""
ROUNDED = """\
    if not rounded:
        rounded.append(True)
        frames["falling"]["height_mm"] = drops["height_mm"].round()
"""
HEAD = '        panel, tested = head["panel"].text(), head["tested"].time()\n'
HEAD_KEPT = """\
        for name in ("panel", "tested"):
            if found := head.get(name):
                self.last[name] = found
        panel, tested = self.last["panel"].text(), self.last["tested"].time()
"""
GUARDED = """\
        lines = export.text().splitlines()
        for n in range(5, len(lines) + 1):
            cells = lines[n - 1].split(";")
            try:
                float(cells[1])
            except (ValueError, IndexError) as error:
                export.fault(Reason.NOT_A_NUMBER, row={row}, found={found})
"""
IMPORTED = ("from tiecoat.plugin import Claim", "from tiecoat.plugin import Claim, Reason")
KIND = 'KIND = Kind("falling", Drops, per="panel", unique=("drop",), order=("drop",))'
HEIGHT = 'height_mm: float = column("mm", "height from which the weight fell", ge=1, le=5000)'
CLAIM = "        missing = export.missing(self.titles)\n"
MEASURED = 'measured_at=table.entry_time(("Tested",)),'
HEIGHTS = 'table.numbers("height_mm", "mm")'
IN_CM = (  # the kind in another unit
    (HEIGHT, 'height_cm: float = column("cm", "height from which the weight fell", ge=0, le=5000)'),
    (
        '"height_mm": table.numbers("height_mm", "mm")',
        '"height_cm": table.numbers("height_mm", "cm")',
    ),
)
TAKEN_ALONG = (
    KIND,
    "def migrate(frame, from_version):\n"
    '    return frame.rename(columns={"height_mm": "height_cm"})\n\n\n'
    + KIND.replace('order=("drop",)', 'order=("drop",), version=2, migrate=migrate'),
)

HOOK = "@hookimpl\ndef tiecoat_evaluations"
BORNE = 'BORNE = StudyProperty("height borne", "height_without_crak", margin=50)'
RENAMED = (  # a column of the kind, and its version, but for a `migrate`
    (HEIGHT, HEIGHT.replace("height_mm", "fall_mm")),
    ('"height_mm": table', '"fall_mm": table'),
    (KIND, KIND.replace('order=("drop",)', 'order=("drop",), version=2')),
)
FIGURE = """\
def draw(figure, results, rows, names):
    {drawn}


@hookimpl
def tiecoat_figures():
    return [StudyFigure("drops", "falling", "Drops", draw, "A mark is a drop.")]


"""
COURSE = """\
def courses(results, rows):
    yield TimeCourse("height (mm)", rows.assign(value=rows["height_mm"]))


@hookimpl
def tiecoat_figures():
    return [StudyCourse("drops", "falling", courses)]


"""
PAGE = """\
def tell(study):
    {told}


@hookimpl
def tiecoat_pages():
    return [StudyPage("{name}", "falling", "Drops", tell)]


"""


def _with_property(stated: str) -> list[tuple[str, str]]:
    """Add a property to the evaluation."""
    return [
        ("import Evaluation", "import Evaluation, StudyProperty"),
        ("compute)]", "compute, properties=(BORNE,))]"),
        (HOOK, f"{stated}\n\n\n{HOOK}"),
    ]


def _with_figure(drawn: str) -> list[tuple[str, str]]:
    """Add a figure to the evaluation."""
    door = ("import Evaluation", "import Evaluation, StudyFigure")
    return [door, (HOOK, FIGURE.format(drawn=drawn) + HOOK)]


def _with_page(told: str, name: str = "drops") -> list[tuple[str, str]]:
    """Add a page to the evaluation."""
    door = ("import Evaluation", "import Evaluation, StudyPage")
    return [door, (HOOK, PAGE.format(told=told, name=name) + HOOK)]


@dataclass(frozen=True)
class SeededFault:
    """What is wrong, in which file and by which changes; which check finds it, and says what.

    `settings` are those of the lab in which it is tried; `twice` wants a second example; `parts` is
    what is laid out besides.
    """

    what: str
    check: str
    said: str
    file: str
    changes: Sequence[tuple[str, str]]
    settings: str = ""
    twice: bool = False
    parts: Sequence[str] = ()


def _read_first(code: str) -> tuple[str, str]:
    """Put a line of code at the begin of `read`."""
    return READING, f"        {code}\n{READING}"


FAULTS = [
    SeededFault(
        "a hook is misspelt",
        "plugins_are_loaded",
        "tiecoat_reader",
        PLUGIN,
        [("def tiecoat_readers", "def tiecoat_reader")],
    ),
    SeededFault(
        "a reader is of a kind that is not there",
        "plugins_are_loaded",
        "fallings",
        PLUGIN,
        [('"falling_table", "falling"', '"falling_table", "fallings"')],
    ),
    SeededFault(
        "the unit of a column is another than its name says",
        "units_and_meanings",
        "is named after mm, and its unit is cm",
        PLUGIN,
        [('column("mm"', 'column("cm"')],
    ),
    SeededFault(
        "a column has no meaning",
        "units_and_meanings",
        "column 'height_mm' has no meaning",
        PLUGIN,
        [('"height from which the weight fell"', '""')],
    ),
    SeededFault(
        "numbers have no upper bound",
        "bounds_are_sane",
        "column 'height_mm' has no upper bound",
        PLUGIN,
        [("ge=1, le=5000", "ge=1")],
    ),
    SeededFault(
        "between the bounds is nothing",
        "bounds_are_sane",
        "above 5000 and below 1: nothing is",
        PLUGIN,
        [("ge=1, le=5000", "ge=5000, le=1")],
    ),
    SeededFault(
        "the model converts what it is given",
        "bounds_are_sane",
        "converts (coerce)",
        PLUGIN,
        [(HEIGHT, f"{HEIGHT}\n\n    class Config:\n        coerce = True\n")],
    ),
    SeededFault(
        "two rows may have one number",
        "identity_and_order",
        "drop numbers the rows of a measurement, and the kind has no unique; give unique=('drop',)",
        PLUGIN,
        [(KIND, KIND.replace('unique=("drop",), ', ""))],
    ),
    SeededFault(
        "rows come in the order of the file",
        "identity_and_order",
        "and the kind has no unique and no order; give unique=('drop',), order=('drop',), so that",
        PLUGIN,
        [(KIND, KIND.replace(', unique=("drop",), order=("drop",)', ""))],
    ),
    SeededFault(
        "it claims whatever it is shown",
        "others_are_left_alone",
        "claims letter.txt, no export of its kind: 0.9 sure",
        PLUGIN,
        [(CLAIM, f'        return Claim(0.9, "it is a file")\n{CLAIM}')],
    ),
    SeededFault(
        "it breaks down on files of others",
        "others_are_left_alone",
        "recognise breaks down on letter.txt: IndexError",
        PLUGIN,
        [(CLAIM, f'        export.text().splitlines()[0].split(";")[1]\n{CLAIM}')],
    ),
    SeededFault(
        "it is not sure of its own exports",
        "own_are_recognised",
        "falling_table is 0.4 sure",
        PLUGIN,
        [("Claim(0.8,", "Claim(0.4,")],
    ),
    SeededFault(
        "it does not say why it claims a file",
        "own_are_recognised",
        "does not say why",
        PLUGIN,
        [('"drop, height and finding"', '""')],
    ),
    SeededFault(
        "recognising notes a fault",
        "own_are_recognised",
        "recognise notes a fault in drops.csv",
        PLUGIN,
        [IMPORTED, (CLAIM, f"        export.fault(Reason.NOT_A_TIME, row=1)\n{CLAIM}")],
    ),
    SeededFault(
        "values are twice too high",
        "rows_are_as_expected",
        "row 5: height_mm 400, then 800",
        PLUGIN,
        [(HEIGHTS, '[2 * one for one in table.numbers("height_mm", "mm")]')],
    ),
    SeededFault(
        "values are in another unit than the kind's",
        "rows_are_as_expected",
        "Each height_mm is 0.1 times what is expected; is it given in mm?",
        PLUGIN,
        [(HEIGHTS, '[one / 10 for one in table.numbers("height_mm", "mm")]')],
    ),
    SeededFault(
        "the last row is dropped",
        "rows_are_as_expected",
        "finding crack is gone",
        PLUGIN,
        [
            (
                READING,
                BY_HAND.format(height="float(one[1])").replace(".strip()]\n", ".strip()][:-1]\n")
                + READING,
            )
        ],
    ),
    SeededFault(
        "the panel is another",
        "filed_and_read_back",
        "panel RB-014-3, then RB-014-9",
        PLUGIN,
        [('panel=table.entry(("Panel",))', 'panel="RB-014-9"')],
    ),
    SeededFault(
        "it asks for a companion that no example has",
        "rows_are_as_expected",
        "a file *.fwx beside it",
        PLUGIN,
        [('export.companion("*.fwd")', 'export.companion("*.fwx")')],
        parts=("pair",),
    ),
    SeededFault(
        "rows are told to stand one line further up",
        "rows_are_as_expected",
        "row 5: drop 1, then 2",
        PLUGIN,
        [("rows=table.rows", "rows=[row - 1 for row in table.rows]")],
    ),
    SeededFault(
        "what cannot be read is filed as 0",
        "broken_are_held",
        "not-a-number.height.csv is not held",
        PLUGIN,
        [
            _read_first(""),
            (HEIGHTS, '[float(one) if one.isdigit() else 1 for one in table.texts("height_mm")]'),
        ],
    ),
    SeededFault(
        "the panel is lost",
        "filed_and_read_back",
        "drops.csv is not filed",
        PLUGIN,
        [('panel=table.entry(("Panel",))', "panel=None")],
    ),
    SeededFault(
        "a corrected value is another determination",
        "identity_and_order",
        "would be filed beside what is filed of it",
        PLUGIN,
        [
            (
                MEASURED,
                "measured_at=datetime.fromtimestamp(1.7e9 + crc32(export.head) % 9999, UTC),",
            ),
            (
                "import pandera",
                "from datetime import UTC, datetime\nfrom zlib import crc32\n\nimport pandera",
            ),
        ],
    ),
    SeededFault(
        "the order does not settle how rows stand",
        "identity_and_order",
        "in another order",
        PLUGIN,
        [('order=("drop",)', 'order=("finding",)')],
    ),
    SeededFault(
        "it counts on from file to file",
        "nothing_is_kept",
        "drops.csv gives other rows when it is read again",
        PLUGIN,
        [
            ("    titles = {", "    count = 0\n    titles = {"),
            (READING, f"        self.count += 1\n{READING}"),
            (
                'table.numbers("drop", "")',
                '[self.count + one for one in table.numbers("drop", "")]',
            ),
        ],
    ),
    SeededFault(
        "it remembers files by their name",
        "nothing_is_kept",
        "gives what was read before of a file of its name",
        PLUGIN,
        [
            ("    titles = {", "    seen = {}\n    titles = {"),
            (READING, f"        export = self.seen.setdefault(export.name, export)\n{READING}"),
        ],
    ),
    SeededFault(
        "it keeps the head of the file before",
        "nothing_is_kept",
        "drops.fwh without line 2 hangs on the file that was read before it, of which the reader",
        PLUGIN,
        [("    titles = {", "    last = {}\n    titles = {"), (HEAD, HEAD_KEPT)],
        parts=("pair",),
    ),
    SeededFault(
        "it reads its head once for all files",
        "nothing_is_kept",
        "hangs on the file that was read before it, of which the reader keeps something",
        PLUGIN,
        [
            ("    titles = {", "    kept = None\n    titles = {"),
            (HEAD, f"        head = self.kept = self.kept or head\n{HEAD}"),
        ],
        parts=("pair",),
    ),
    SeededFault(
        "it takes the time from the clock",
        "what_it_says_is_filed",
        "is about now, and the export says no such day",
        PLUGIN,
        [
            (
                MEASURED,
                "measured_at=__import__('datetime').datetime.now(__import__('datetime').UTC),",
            )
        ],
    ),
    SeededFault(
        "what is read of a file depends on those read with it",
        "nothing_is_kept",
        "when the others are read together with it",
        PLUGIN,
        [
            (
                KIND,
                "def centred(frame):\n"
                '    lowest = frame["height_mm"].min()\n'
                '    return frame.assign(height_mm=frame["height_mm"] - lowest + 1)\n\n\n'
                + KIND.replace(', order=("drop",)', ', order=("drop",), derive=centred'),
            )
        ],
        twice=True,
    ),
    SeededFault(
        "it writes beside the export",
        "nothing_is_touched",
        "writes or changes seen.log beside the export",
        PLUGIN,
        [_read_first('(export.path.parent / "seen.log").write_text("seen")')],
    ),
    SeededFault(
        "it changes the environment",
        "nothing_is_touched",
        "changes the environment",
        PLUGIN,
        [_read_first('here = __import__("os").environ; here["READ"] = here.get("READ", "") + "I"')],
    ),
    SeededFault(
        "it takes long",
        "little_is_taken",
        "s of the processor",
        PLUGIN,
        [_read_first("sum(number * number for number in range(4_000_000))")],
        settings="[readers]\nfolder = true\nprocesses = 1\ntime_limit_s = 1\n",
    ),
    SeededFault(
        "it takes much memory",
        "little_is_taken",
        "MB of memory",
        PLUGIN,
        [_read_first('__import__("numpy").zeros(700 << 20, "uint8")')],
    ),
    SeededFault(
        "the unit of the title is not looked at",
        "damage_is_never_filed_wrong",
        "with s for mm in line 4 is filed; it may be held, or not be filed: the unit is not looked",
        PLUGIN,
        [(READING, BY_HAND.format(height="float(one[1])") + READING)],
    ),
    SeededFault(
        "a row that cannot be read is left out",
        "damage_is_never_filed_wrong",
        "is left out without a word",
        PLUGIN,
        [
            (
                READING,
                BY_HAND.format(height="float(one[1])").replace(
                    "if lines[n - 1].strip()]",
                    "if lines[n - 1].strip() and 'overload' not in lines[n - 1]]",
                )
                + READING,
            )
        ],
    ),
    SeededFault(
        "a number that was cut off is taken as it stands",
        "damage_is_never_filed_wrong",
        "cut within line",
        PLUGIN,
        [(READING, BY_HAND.format(height="float(one[1] or 1)") + READING)],
    ),
    SeededFault(
        "it breaks down where a number is none",
        "messages_are_plain",
        "the reader broke down on this file",
        PLUGIN,
        [(READING, BY_HAND.format(height="float(one[1])") + READING)],
    ),
    SeededFault(
        "it tells technicians of exceptions",
        "messages_are_plain",
        "a technician would not understand 'ValueError'",
        PLUGIN,
        [IMPORTED, (READING, GUARDED.format(row="n", found="repr(error)") + READING)],
    ),
    SeededFault(
        "it tells of rows that are not there",
        "messages_are_plain",
        "row 1005 is told, of 9",
        PLUGIN,
        [IMPORTED, (READING, GUARDED.format(row="n + 1000", found="cells[1]") + READING)],
    ),
    SeededFault(
        "it keeps the panel of the file before",
        "what_it_says_is_filed",
        "without line 1 is filed for RB-014-7, of which the file read before it was",
        PLUGIN,
        [
            (
                "    titles = {",
                KEPT + "    titles = {",
            ),
            ('panel=table.entry(("Panel",))', 'panel=self.kept(table.entry(("Panel",)))'),
        ],
    ),
    SeededFault(
        "it makes up a time where the export says none",
        "what_it_says_is_filed",
        "without line 2 is measured about now",
        PLUGIN,
        [
            (MEASURED, MEASURED.replace("),", ") or datetime.now(UTC),")),
            ("import pandera", "from datetime import UTC, datetime\n\nimport pandera"),
        ],
    ),
    SeededFault(
        "it files the day on which it reads",
        "what_it_says_is_filed",
        "is about now, and the export says no such day",
        PLUGIN,
        [
            (MEASURED, "measured_at=datetime.combine(datetime.now(UTC), time(), UTC),"),
            ("import pandera", "from datetime import UTC, datetime, time\n\nimport pandera"),
        ],
    ),
    SeededFault(
        "all is filed for one panel",
        "what_it_says_is_filed",
        "is filed for RB-014-3 all the same: its panel is not looked at",
        PLUGIN,
        [('panel=table.entry(("Panel",))', 'panel="RB-014-3"')],
    ),
    SeededFault(
        "a word that it does not know is taken for one that it knows",
        "what_it_says_is_filed",
        "is filed with finding 'no crack': a word that is not known is held",
        PLUGIN,
        [
            (
                'table.texts("finding")',
                '["crack" if one == "crack" else "no crack" for one in table.texts("finding")]',
            )
        ],
    ),
    SeededFault(
        "it reads the first table only",
        "what_it_says_is_filed",
        "what comes behind the first table is lost without a word",
        PLUGIN,
        [("in export.tables(self.titles):", "in export.tables(self.titles)[:1]:")],
    ),
    SeededFault(
        "a row that stands twice is taken once",
        "what_it_says_is_filed",
        "with line 5 twice gives",
        PLUGIN,
        [
            (
                READING,
                BY_HAND.format(height="float(one[1])").replace(
                    "if lines[n - 1].strip()]",
                    "if lines[n - 1].strip() and lines[n - 1] not in lines[: n - 1]]",
                )
                + READING,
            )
        ],
    ),
    SeededFault(
        "it sets the environment to the same each time",
        "nothing_is_touched",
        "writes READ into the environment",
        PLUGIN,
        [_read_first('__import__("os").environ["READ"] = ""')],
    ),
    SeededFault(
        "an evaluation rounds the rows it is given, the first time",
        "evaluations_are_pure",
        "changes column 'height_mm' of the rows of falling it is given",
        EVALUATION,
        [
            ("def compute(", "rounded = []\n\n\ndef compute("),
            (
                "    panel = [",
                ROUNDED + "    panel = [",
            ),
        ],
    ),
    SeededFault(
        "a property is of a misspelt quantity",
        "results_are_whole",
        "gives no 'height_without_crak', of which its property 'height borne' is; near it:",
        EVALUATION,
        _with_property(BORNE),
    ),
    SeededFault(
        "a property is of what is never given",
        "results_are_whole",
        "gives no 'impact_energy', of which its property 'height borne' is, nor does its docstring",
        EVALUATION,
        _with_property(BORNE.replace("height_without_crak", "impact_energy")),
    ),
    SeededFault(
        "a property says not from where on it is harm",
        "plugins_are_loaded",
        "'height borne' of evaluation 'falling' was left out: it needs margin or margin_percent",
        EVALUATION,
        _with_property(BORNE.replace("crak", "crack").replace(", margin=50", "")),
    ),
    SeededFault(
        "a margin is in another unit",
        "results_are_whole",
        "'height borne' has a margin of 0.05 mm, and the examples give values of about 625 mm; is",
        EVALUATION,
        _with_property(BORNE.replace("crak", "crack").replace("50", "0.05")),
    ),
    SeededFault(
        "two evaluations give one quantity",
        "results_are_whole",
        "height_without_crack of evaluation 'again' was left out where 'falling' gives it too",
        EVALUATION,
        [("compute)]", 'compute), Evaluation("again", "falling", compute)]')],
    ),
    SeededFault(
        "a figure breaks down on a single row",
        "figures_are_drawn",
        "figure drops, given one row, breaks down: IndexError",
        EVALUATION,
        _with_figure('figure.subplots().plot([0], [rows["height_mm"].iloc[1]])'),
    ),
    SeededFault(
        "a course over time has points without a time",
        "figures_are_drawn",
        "figure drops breaks down: TypeError: the points have no column 'time_h'; expected batch,",
        EVALUATION,
        [
            ("import Evaluation", "import Evaluation, StudyCourse, TimeCourse"),
            (HOOK, COURSE + HOOK),
        ],
    ),
    SeededFault(
        "a figure draws nothing",
        "figures_are_drawn",
        "figure drops draws nothing of",
        EVALUATION,
        _with_figure("return None"),
    ),
    SeededFault(
        "a figure is returned, not drawn",
        "figures_are_drawn",
        "expected that it draws into that one (evaluate_falling.py, line ",
        EVALUATION,
        _with_figure('return "drops.png"'),
    ),
    SeededFault(
        "a page returns nothing",
        "pages_are_told",
        "page drops breaks down: TypeError: tell returns NoneType; expected several parts: yield",
        EVALUATION,
        _with_page("str(study)"),
    ),
    SeededFault(
        "a page has markup",
        "pages_are_told",
        "page drops has '<script>' in a text, which stands in the report as it is written",
        EVALUATION,
        _with_page('yield "<script>alert(1)</script>"'),
    ),
    SeededFault(
        "a page has a part that is none",
        "pages_are_told",
        "page drops has a part that is DataFrame; expected a text, a PageTable or a StudyFigure",
        EVALUATION,
        _with_page('yield study.rows["falling"]'),
    ),
    SeededFault(
        "a page returns a text",
        "pages_are_told",
        "page drops breaks down: TypeError: tell returns one text; expected several parts",
        EVALUATION,
        _with_page('return "drops"'),
    ),
    SeededFault(
        "a page tells of chance",
        "pages_are_told",
        "page drops tells otherwise of the same study",
        EVALUATION,
        _with_page('yield f"{np.random.default_rng().random()}"'),
    ),
    SeededFault(
        "a page is called like a section of the report",
        "plugins_are_loaded",
        "the report has a section of this name itself",
        EVALUATION,
        _with_page('yield "drops"', "verdicts"),
    ),
    SeededFault(
        "a command prints",
        "commands_answer",
        "command drops prints",
        COMMAND,
        [("    return CommandAnswer(", "    print(len(drops))\n    return CommandAnswer(")],
    ),
    SeededFault(
        "a command breaks down",
        "commands_answer",
        "command drops breaks down: KeyError: 'drops'",
        COMMAND,
        [('.read("falling")', '.read("falling")["drops"]')],
    ),
    SeededFault(
        "a command answers with one text",
        "commands_answer",
        "command drops: its lines are str; expected a list of texts, one a line",
        COMMAND,
        [('[f"{len(drops)} drops"]', 'f"{len(drops)} drops"')],
    ),
    SeededFault(
        "a command answers otherwise than it says",
        "commands_answer",
        "command drops answers with 'falls', which is none of its `answers`",
        COMMAND,
        [('values={"drops"', 'values={"falls"')],
    ),
    SeededFault(
        "a command answers with a value of another type",
        "commands_answer",
        "command drops answers with 'drops' '5'; its `answers` say whole",
        COMMAND,
        [('values={"drops": len(drops)}', 'values={"drops": str(len(drops))}')],
    ),
    SeededFault(
        "a command does not answer with what it says",
        "commands_answer",
        "command drops does not answer with 'drops', which is one of its `answers`",
        COMMAND,
        [(', values={"drops": len(drops)}', "")],
    ),
    SeededFault(
        "a command answers and does not say with what",
        "commands_answer",
        "command drops answers with 'drops', which is none of its `answers`",
        COMMAND,
        [(", run, answers=answers)", ", run)")],
    ),
    SeededFault(
        "a command has a name that is taken",
        "plugins_are_loaded",
        "tiecoat has a command of this name itself",
        COMMAND,
        [('LabCommand("drops"', 'LabCommand("take"')],
    ),
    SeededFault(
        "other rows, and the same version of the reader",
        "readers_tell_their_version",
        "its version is 1 as before: raise it",
        PLUGIN,
        [(HEIGHTS, '[round(one, -1) for one in table.numbers("height_mm", "mm")]')],
    ),
    SeededFault(
        "another unit, and the same version of the kind",
        "kinds_tell_their_version",
        "its version is 1 as before: raise it",
        PLUGIN,
        IN_CM,
    ),
    SeededFault(
        "a column has another name, and nothing takes its rows along",
        "kinds_tell_their_version",
        "column 'height_mm': there in the tables, gone now; kind version 1 in the tables",
        PLUGIN,
        RENAMED,
    ),
    SeededFault(
        "a kind takes its rows along unconverted",
        "kinds_tell_their_version",
        "400 mm became 400 cm, expected 40 cm",
        PLUGIN,
        [*IN_CM, TAKEN_ALONG],
    ),
    SeededFault(
        "a kind takes its rows along wrongly",
        "kinds_tell_their_version",
        "migrate makes height_cm 400 of drops.csv, row 5, and read today it is 40",
        PLUGIN,
        [*IN_CM, TAKEN_ALONG, ("height from which the weight fell", "height above the panel")],
    ),
    SeededFault(
        "the unit of a result is none",
        "results_are_whole",
        "falling.py was left out: its height_without_crack is in 'mg per area', which is no unit",
        EVALUATION,
        [('        "mm",\n', '        "mg per area",\n')],
    ),
    SeededFault(
        "a result is not finite",
        "results_are_whole",
        "is not finite",
        EVALUATION,
        [('        found["max"],\n', '        found["max"] / 0,\n')],
    ),
    SeededFault(
        "a result does not say how it was computed",
        "results_are_whole",
        "has a value, and no method",
        EVALUATION,
        [('"greatest height below the lowest that cracked the film"', '""')],
    ),
    SeededFault(
        "an evaluation needs a kind that is not there",
        "results_are_whole",
        "needs the kind 'hammers', which no plugin brings",
        EVALUATION,
        [("compute)]", 'compute, needs=("hammers",))]')],
    ),
    SeededFault(
        "results hang on chance",
        "evaluations_are_pure",
        "gives other results of the same rows",
        EVALUATION,
        [('        found["max"],\n', '        found["max"] + np.random.default_rng().random(),\n')],
    ),
    SeededFault(
        "an evaluation changes the rows it is given",
        "evaluations_are_pure",
        "changes column 'height_mm' of the rows",
        EVALUATION,
        [
            (
                "    panel = [",
                """\
    heights = drops["height_mm"].to_numpy()
    heights.flags.writeable = True
    heights[0] += 1
    panel = [""",
            )
        ],
    ),
    SeededFault(
        "there is no reason why there is no value",
        "little_is_told_as_little",
        "given row 5 alone, breaks down: ValueError: height_without_crack",
        EVALUATION,
        [('"it cracked from the lowest height on"', '""')],
    ),
    SeededFault(
        "an evaluation breaks down without rows",
        "little_is_told_as_little",
        "given no rows, breaks down: IndexError",
        EVALUATION,
        [("    panel = [", '    drops["batch"].iloc[0]\n    panel = [')],
    ),
    SeededFault(
        "other results, and the same version of the evaluation",
        "evaluations_tell_their_version",
        "its version is 1 as before: raise it",
        EVALUATION,
        [('        found["max"],\n', '        found["max"] - 1,\n')],
    ),
    SeededFault(
        "a word for a number in a companion is taken for another number",
        "damage_is_never_filed_wrong",
        "drops.fwh with its drops.fwd with overload in line 2, field 2 is filed",
        PLUGIN,
        [(HEIGHTS, HEIGHT_BY_HAND.format(height="float(c[1]) if c[1].isdigit() else 500.0"))],
        parts=("pair",),
    ),
    SeededFault(
        "the unit in a companion is not looked at",
        "damage_is_never_filed_wrong",
        "drops.fwh with its drops.fwd with s for mm in line 1 is filed; it may be held, or not be",
        PLUGIN,
        [(HEIGHTS, HEIGHT_BY_HAND.format(height="float(c[1])"))],
        parts=("pair",),
    ),
    SeededFault(
        "rows of a companion are told as of the head",
        "rows_are_as_expected",
        "rows holds 6; the file ends at row 3; rows of a companion name it: sheet=export.companion",
        PLUGIN,
        [("                sheet=drops.name,\n", "")],
        parts=("pair",),
    ),
    SeededFault(
        "what was seen is told by the place in a companion",
        "damage_is_never_filed_wrong",
        "drops.fwh with its drops.fwd without line 4 is filed",
        PLUGIN,
        [('table.texts("finding")', '[("crack" if n > 4 else "no crack") for n in table.rows]')],
        parts=("pair",),
    ),
]
