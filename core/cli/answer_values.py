"""The values of answers for scripts, out of what commands have found; see answers.py."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from tiecoat.reasons import ADDED

if TYPE_CHECKING:
    import pandas as pd

    from tiecoat.archive.tables.describe import Described
    from tiecoat.ask.contents import ArchiveHolds
    from tiecoat.ask.study_data import StudyData
    from tiecoat.cli.inventory_screen import PluginParts
    from tiecoat.compare.links import Link, PairableResult
    from tiecoat.compare.properties import Property
    from tiecoat.compare.reach import Reach
    from tiecoat.compare.recommendation import Recommendation
    from tiecoat.compare.verdict import Verdict
    from tiecoat.intake.held.files import Held
    from tiecoat.intake.outcome import Outcome
    from tiecoat.intake.trying import Trial
    from tiecoat.intake.workers.pool import Inventory
    from tiecoat.merge.merge import Merged
    from tiecoat.rebuild.rebuild import Rebuilt
    from tiecoat.service.overview import Overview
    from tiecoat.service.status import ServiceStatus
    from tiecoat.verify.report import Verified

AnswerValues = dict[str, Any]


def of_outcomes(outcomes: Sequence[Outcome], notices: Sequence[str]) -> AnswerValues:
    """What became of files."""
    from tiecoat.intake.outcome import FileStatus

    counts = Counter(one.status for one in outcomes)
    return {
        "files": [
            {
                "name": one.name,
                "status": one.status.value,
                "said": one.said,
                "held": one.held.id if one.held else None,
                "reason": one.held.reason.code if one.held else None,
                "rows": one.rows,
                "tables": [
                    {"kind": kind, "batch": batch, "measurements": count}
                    for kind, batch, count in one.tables
                ],
                "remarks": one.remarks,
            }
            for one in outcomes
        ],
        "counts": {status.value: counts[status] for status in FileStatus},
        "notices": notices,
    }


def of_held(held: Held) -> AnswerValues:
    """A held file and its reason."""
    return {
        "id": held.id,
        "name": held.name,
        "folder": held.folder,
        "since": held.held_at,
        "sha256": held.sha256,
        "reason": held.reason.code,
        "text": held.reason.text,
        "advice": held.reason.advice,
        "faults_total": held.total,
        "faults": [
            {"sentence": one.sentence, **dict.fromkeys(ADDED), **one.as_record()}
            for one in held.faults
        ],
    }


def of_measurement(one: Described) -> AnswerValues:
    """A measurement as the index knows it."""
    from tiecoat.archive.tables.describe import moment_at

    at = one.measured_at
    return {
        "measurement": one.measurement,
        "kind": one.kind,
        "batch": one.batch,
        "panel": one.panel,
        "measured_at": None if at is None else moment_at(at).isoformat(),
        "rows": one.n_rows,
        "file": one.source_name,
        "sha256": one.source_sha256,
        "withdrawn": one.withdrawn,
        "remark": one.remark,
    }


def of_status(found: ServiceStatus) -> AnswerValues:
    """How the service is."""
    from tiecoat.service.status import NOT_RUNNING

    names = {name: name for name in ("state", "beat", "since", "pid", "host", "version", "queue")}
    names |= {"settling": "waiting", "last_error": "last_error", "last_error_at": "last_error_at"}
    left = {said: getattr(found.health, name, None) for said, name in names.items()}
    return {
        "service": {"running": found.code != NOT_RUNNING, "said": found.said, **left},
        "held": found.held,
        "remarked": found.remarked,
        "troubles": found.troubles,
    }


def of_overview(found: Overview) -> AnswerValues:
    """How the lab is, and what comes next."""
    return of_status(found.service) | {
        "waiting": found.waiting,
        "kinds": sorted(found.filed.kinds),
        "batches": found.filed.n_batches,
        "next": [{"command": command, "does": does} for command, does in found.next],
    }


def of_trial(trial: Trial) -> AnswerValues:
    """What would become of a file."""
    from tiecoat.intake.checks.checker import remarks_in

    held = trial.held
    return {
        "name": trial.name,
        "beside": trial.beside,
        "awaits": {"files": trial.awaits[0], "for_s": trial.awaits[1]},
        "reader": trial.reader,
        "kinds": [{"kind": kind, "rows": rows.num_rows} for kind, rows in trial.rows.items()],
        "remarks": list(dict.fromkeys(remarks_in(trial.rows))),
        "held": {
            "reason": held.reason.code if held else None,
            "text": held.reason.text if held else None,
            "advice": held.reason.advice if held else None,
            "faults": [one.sentence for one in held.faults] if held else [],
        },
        "left_out": trial.problems,
    }


def of_contents(holds: ArchiveHolds) -> AnswerValues:
    """What the archive holds, by kind."""
    from tiecoat.remarks import summed

    kinds = [
        {
            "kind": one.kind,
            "batches": one.batches,
            "panels": one.panels,
            "measurements": one.measurements,
            "rows": one.rows,
            "first": one.first and one.first.isoformat(),
            "last": one.last and one.last.isoformat(),
        }
        for one in holds.kinds
    ]
    return {"kinds": kinds, "remarks": summed(holds.remarks)}


def of_results(table: pd.DataFrame) -> list[AnswerValues]:
    """Results, a row each."""
    return [{str(key): value for key, value in row.items()} for row in table.to_dict("records")]


def of_comparison(data: StudyData, summary: Iterable[str]) -> AnswerValues:
    """The verdicts of a study."""
    from tiecoat.report.labels import left_out_words

    found = data.comparison
    wanted = {one.label: one for one in found.properties}
    return {
        "control": found.control,
        "verdicts": [_of_verdict(one, wanted[one.property]) for one in found.verdicts],
        "summary": list(summary),
        "recommendations": [_of_recommendation(one) for one in data.recommendations],
        "reaches": [_of_reach(one) for one in found.reaches],
        "adjusted": found.adjusted,
        "not_compared": [getattr(one, "words", str(one)) for one in found.not_compared],
        "pairs": [
            {"against": one.control, **_of_verdict(one, wanted[one.property])}
            for one in found.pairs
        ],
        "left_out_by_study": [left_out_words(one) for one in found.left_out],
        "problems": found.problems,
        "left_out": data.left_out,
    }


def _of_verdict(one: Verdict, wanted: Property) -> AnswerValues:
    from tiecoat.compare.strength import step_of

    names = ["batch", "candidate", "dose_percent", "property", "because", "effect_is"]
    names += ["effect", "low", "high", "unit", "n", "n_control"]
    names += ["p", "p_over_candidates", "p_alone", "p_alone_if_alike"]
    names += ["condition"]
    words = {"outcome": one.outcome.value, "standing": one.standing.value}
    words["if_alike"] = "" if one.if_alike is None else one.if_alike.value
    words["step"] = step_of(one, wanted).value
    return {name: getattr(one, name) for name in names} | words


def _of_recommendation(one: Recommendation) -> AnswerValues:
    from tiecoat.report.recommended import recommendation_words

    missing, undecided = (
        [
            {
                "property": x.property,
                "lack": x.lack.value,
                "condition": x.condition,
                "batches": list(x.batches),
                "needed": x.needed,
            }
            for x in of
        ]
        for of in (one.missing, one.undecided)
    )
    names = ("application", "batch", "first", "next_best")
    said = {"missing": missing, "undecided": undecided, "said": recommendation_words(one)}
    return {name: getattr(one, name) for name in names} | said


def _of_reach(one: Reach) -> AnswerValues:
    p = {"least_p": one.least.alone, "least_p_adjusted": one.least.over(one.properties)}
    names = ("batches", "n", "n_control", "enough")
    return {"property": one.label, **{name: getattr(one, name) for name in names}, **p} | {
        "said": one.words
    }


def of_links(found: Sequence[Link]) -> list[AnswerValues]:
    """Which results go together, a row each and level."""
    from tiecoat.compare.links import links_table

    return of_results(links_table(found))


def of_pairable(found: Sequence[PairableResult]) -> list[AnswerValues]:
    """What can be held against each other."""
    return [dict(vars(one)) for one in found]


def of_sources(found: Mapping[str, str]) -> list[AnswerValues]:
    """Names, and where each comes from."""
    return [{"name": name, "source": source} for name, source in sorted(found.items())]


def of_readers(inventory: Inventory) -> AnswerValues:
    """Readers and kinds, with what is told of each."""
    from tiecoat.contract.columns import told_of

    return {
        "readers": [
            {**one, **asdict(inventory.told[one["name"]])} for one in of_sources(inventory.readers)
        ],
        "kinds": [
            {
                **one,
                "per": inventory.loaded[one["name"]].per,
                "columns": [
                    {"name": field.name, "unit": told_of(field).unit, "is": told_of(field).meaning}
                    for field in inventory.loaded[one["name"]].schema
                    if told_of(field).role == "value"
                ],
            }
            for one in of_sources(inventory.kinds)
        ],
    }


def of_brought(brought: PluginParts) -> AnswerValues:
    """What plugins bring beside readers and kinds."""
    return {
        "evaluations": of_sources(brought.evaluations.sources),
        "properties": [
            {"name": name, "quantity": quantity, "evaluation": evaluation}
            for name, quantity, evaluation in brought.properties()
        ],
        **{
            f"{sort}s": [
                {"name": name, "kind": kind, "title": title, "source": source}
                for name, kind, title, source in brought.on_reports(sort)
            ]
            for sort in ("figure", "page")
        },
        "commands": [
            {"name": name, "does": words, "source": source}
            for name, words, source in brought.asked()
        ],
    }


def of_verified(found: Verified) -> AnswerValues:
    """What was looked at, and what is wrong."""
    findings = [
        {
            "code": one.damage.code,
            "where": one.where,
            "said": one.said,
            "advice": one.damage.advice,
        }
        for one in found.findings
    ]
    return {**vars(found.counts), "findings": findings, "remarks": found.remarks}


def of_merged(found: Merged) -> AnswerValues:
    """What came from another lab."""
    counts = {fate.value: count for fate, count in found.files.items()}
    names = ("known", "waiting", "discarded", "gone_on")  # of the others each file is told
    return {
        "there": found.there,
        "files": counts["filed"],
        **{name: counts[name] for name in names},
        "here": found.here,
        "measurements": found.measurements,
        "decided": found.decided,
        "held": [
            {"name": one.name, "held": one.held.id if one.held else "", "said": one.said}
            for one in found.held
        ],
        **{
            name: [{"name": one.name, "why": one.why} for one in every]
            for name, every in (("left_out", found.left_out), ("open", found.open))
        },
        "changed": found.changed,
        "notices": found.notices,
        "in_place": found.in_place,
    }


def of_rebuilt(found: Rebuilt) -> AnswerValues:
    """What was made again."""
    otherwise = found.differences
    return {
        "exports": found.exports,
        "measurements": found.measurements,
        "in_place": found.swapped,
        "differs": bool(otherwise),
        "gone": sorted(otherwise.gone),
        "added": sorted(otherwise.added),
        "lost": [one.name for one in otherwise.lost],
        "held": [one.name for one in otherwise.held],
        "left_out": found.problems,
    }
