"""Making the archive again, and putting it in the old one's place.

It is made beside the old one, compared with it and with the journal, and swapped in as a whole.
That mends damaged and missing tables, and lets a mended reader read again what was filed already.
Whatever comes out otherwise than the journal says is told, and needs a person's consent.
"""

from __future__ import annotations

import secrets
from collections import Counter
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path
from typing import Any

from tiecoat.archive.account import Account
from tiecoat.archive.index.building import refuse_newer_index
from tiecoat.archive.index.cache import Index
from tiecoat.archive.journal.records import Journal
from tiecoat.archive.lock import rebuild_lock, write_lock
from tiecoat.archive.swap import drop_workplace, finish_swap, kept, swap_in, workplace
from tiecoat.archive.tables.contents import as_tables
from tiecoat.archive.words import RecordSort
from tiecoat.disk import fsio
from tiecoat.errors import ArchiveDamaged
from tiecoat.intake.held.files import drop_held, list_held
from tiecoat.lab.settings import Lab
from tiecoat.lab.shaping import changes, digest_of, shaping
from tiecoat.rebuild.carrying import NOT_AGAIN, Carried, OldArchive, carry, to_carry
from tiecoat.rebuild.differences import Differences, compare
from tiecoat.rebuild.history import FiledExport, HistoryStep, Reinstated, history
from tiecoat.rebuild.replay import Replay, Replayed, lost_of
from tiecoat.rebuild.today import ByToday, by_today
from tiecoat.rebuild.values import FILE, list_changes
from tiecoat.verify.report import DamageFound
from tiecoat.verify.tables import CheckedTables, check_tables
from tiecoat.verify.verify import doubt_of, journal_cut, journal_findings, new_doubts
from tiecoat.wording import counted

Told = Callable[[str, int, int], None]  # what is done, how far, of how many


@dataclass(frozen=True)
class Consent:
    """What a person has said beforehand; see `rebuild`."""

    who: str
    accept: bool
    leave_out: Collection[str]
    today: bool


@dataclass(frozen=True)
class Rebuilt:
    """What came of a rebuild: `swapped` says whether the new archive is in its place.

    `mended` lists what was wrong with the old tables and is not with the new ones; `kept` is the
    folder of the old archive, None where there is none or it held the same; `unnamed` maps what
    would be lost, and was not named to be left out, to the file that it came from, or to its kind
    where nothing of that would be left. `changes` are the first old and new values of each
    measurement that is read otherwise; all stand in the file `listed`. `by_today` says whether all
    was read by the settings of today, `ids` which settings of ids were others then.
    """

    exports: int
    measurements: int
    swapped: bool
    differences: Differences
    mended: tuple[DamageFound, ...]
    problems: tuple[str, ...]
    kept: Path | None = None
    unnamed: Mapping[str, str] = field(default_factory=dict)
    today: ByToday = field(default_factory=ByToday)
    changes: Mapping[str, Sequence[str]] = field(default_factory=dict)
    listed: Path | None = None
    by_today: bool = False
    ids: tuple[str, ...] = ()


def rebuild(
    lab: Lab,
    who: str,
    *,
    accept: bool = False,
    leave_out: Collection[str] = (),
    today: bool = False,
    told: Told = lambda what, done, total: None,
) -> Rebuilt:
    """Make the archive again from originals and journal.

    Registers, assignments, decisions to supersede, retractions and the notes that were used are
    those of the journal, in its order; who withdrew a measurement, when and why too. Settings are
    those that each file was filed by, where the journal says; readers are those of today. Rows
    that stand whole in the old tables and cannot be made again, because their original or their
    record is lost, are carried over. The old archive is kept. A service may run meanwhile: nothing
    else can write only while the old tables are looked at, and in the end, when what was filed
    meanwhile is taken up and the new archive is compared and put in its place.

    Parameters
    ----------
    who
        Who does it, for the journal.
    accept
        Put the new archive in place though it differs; without, the old one then stays.
    leave_out
        What may be lost by that: measurements, files by name or SHA-256, or whole kinds. While
        anything else would be lost, the old archive stays.
    today
        Read everything by the settings of today.

    Raises
    ------
    LabInUse
        If another process rebuilds, or writes for too long.
    ArchiveDamaged
        If what was made does not pass its own check; the old archive stays.
    OSError
        If the disk refuses; there is the old archive or the new one.
    WrittenByNewer
        If a part of the lab is of a format that is not known here.
    """
    wanted = Consent(who, accept, leave_out, today)
    with rebuild_lock(lab):
        try:
            return _rebuild(lab, wanted, told)
        except _NotOnlyMore:  # then nobody else may write all the while
            with write_lock(lab):
                return _rebuild(lab, wanted, told)


class _NotOnlyMore(Exception):
    """What was filed before has been decided on otherwise while it was made again."""


def _rebuild(lab: Lab, wanted: Consent, told: Told) -> Rebuilt:
    with ExitStack() as until_swapped:
        try:
            return _made_again(lab, wanted, told, until_swapped)
        finally:
            drop_workplace(lab)


def _looked_at(lab: Lab, told: Told) -> tuple[OldArchive, list[HistoryStep], list[DamageFound]]:
    """Return the old archive, the steps that led to it, and what is wrong with the journal."""
    with write_lock(lab):
        refuse_newer_index(lab)
        finish_swap(lab)
        drop_workplace(lab)  # of a rebuild that was cut short
        journal = Journal(lab)
        said = Account.of(journal)
        old = OldArchive(lab, said, check_tables(lab, said, partial(told, "looking at the old")))
        count = len(old.tables.contents)
        wrong = [*journal_findings(journal, said, count), *journal_cut(lab, journal)]
        return old, history(journal), [*new_doubts(wrong, said)]


def _made_again(lab: Lab, wanted: Consent, told: Told, until_swapped: ExitStack) -> Rebuilt:
    old, steps, doubts = _looked_at(lab, told)
    lost = lost_of(lab, steps)
    carried = to_carry(old, lost, doubts)
    new = workplace(lab)
    settings = {} if wanted.today else Journal(lab).settings()
    taken = [*steps]

    def meanwhile() -> Sequence[HistoryStep]:
        """Let nobody else write from now on, and return what was filed until now."""
        nonlocal old
        until_swapped.enter_context(write_lock(lab))
        journal = Journal(lab)
        now = history(journal)
        more = now[len(steps) :]
        if now[: len(steps)] != steps or any(isinstance(one, Reinstated) for one in more):
            raise _NotOnlyMore
        old = replace(old, said=Account.of(journal))
        settings.update({} if wanted.today else journal.settings())
        taken.extend(more)
        return more

    replayed = Replay(
        lab,
        new,
        steps,
        lost,
        settings,
        lambda new, index: carry(old, new, index, carried.names),
        meanwhile,
        lambda new, index, found: _carry_the_rest(old, new, index, carried, found),
    ).run(partial(told, "filing again"))
    made = Account.of(Journal(new))
    tables = check_tables(new, made, partial(told, "checking the new"))
    if tables.findings:
        first = tables.findings[0]
        raise ArchiveDamaged(
            f"what was made is not sound: {first.where} {first.said}\nThe archive stays as it was."
        )
    found = replace(compare(old, made, tables, replayed, carried), doubts=tuple(doubts))
    looking_today = partial(told, "reading by today's settings")
    otherwise_today = by_today(lab, taken, settings, replayed, looking_today)
    values = list_changes(lab, new, found.otherwise, old.said.contents, made.contents)
    unnamed = _unnamed(found.losing, wanted.leave_out, old.said)
    record = _record(wanted, old, made, found, carried)
    if swapped := not unnamed and (wanted.accept or not found):
        swap_in(lab, record)
    mended = tuple(old.tables.findings) if swapped else ()
    place = kept(lab, record["rebuild"]).root
    return Rebuilt(
        len(replayed.steps),
        len(made.contents),
        swapped,
        found,
        mended,
        (*replayed.problems, *_gone_plugins(old.tables, replayed)),
        place if swapped and fsio.is_there(place) else None,
        unnamed,
        otherwise_today,
        values,
        lab.root / FILE if values else None,
        wanted.today,
        _other_ids(lab, taken) if wanted.today else (),
    )


def _other_ids(lab: Lab, steps: Sequence[HistoryStep]) -> tuple[str, ...]:
    """Say which settings of ids that files were filed by are others now."""
    settings, now = Journal(lab).settings(), shaping(lab)
    used = {one.settings for one in steps if isinstance(one, FiledExport)} & settings.keys()
    said = (line for one in sorted(used, key=str) for line in changes(settings[one or ""], now))
    return tuple(dict.fromkeys(line for line in said if line.startswith("ids.")))


def _gone_plugins(tables: CheckedTables, replayed: Replayed) -> Iterator[str]:
    """Say which kinds and readers of what is filed there are no more.

    Where nothing was filed again, none were loaded, and nothing is known of them.
    """
    if not replayed.readers:
        return
    kinds = Counter(one.kind for one in tables.described.values())
    for kind in sorted(kinds.keys() - replayed.kinds):
        lost = counted(kinds[kind], "measurement")
        yield f"kind {kind!r} of {lost} is brought by no plugin any more: install it again"
    readers = Counter(one.reader.rpartition(" ")[0] for one in tables.described.values())
    for reader in sorted(readers.keys() - replayed.readers):
        read = counted(readers[reader], "measurement")
        yield f"reader {reader!r}, which read {read}, is brought by no plugin any more"


def _carry_the_rest(
    old: OldArchive, new: Lab, index: Index, carried: Carried, found: Replayed
) -> None:
    """Carry over what is held only because what came before it is not all there.

    Rows of which a record was lost keep their marks, and so do rows whose retraction was.
    """
    tables = old.tables
    made = Account.of(Journal(new))
    recovered = {one.sha256 for one in found.steps if one.recovered}
    sound = old.sound()
    rest: dict[str, str] = {}
    for held in list(found.held):
        if carried.whole and held.sha256 not in recovered:
            continue
        own = {n for n, one in tables.described.items() if one.source_sha256 == held.sha256}
        rest |= dict.fromkeys((own & sound) - made.contents.keys(), NOT_AGAIN)
        expected = {n for n in old.said.contents if n.startswith(f"{held.sha256[:16]}-")}
        if own & sound and expected <= sound:
            found.held.remove(held)
            drop_held(new, held.id)
    marks = {}
    if not carried.whole:
        there = made.contents.keys() | rest.keys()
        marks = {
            name: one
            for name, one in tables.withdrawn.items()
            if name in there and name not in made.withdrawn and name not in tables.apart
        }
    carry(old, new, index, rest, marks)
    carried.why |= rest


def _unnamed(
    losing: Mapping[str, str], leave_out: Collection[str], said: Account
) -> dict[str, str]:
    """Return what would be lost and no person has named, neither it nor its file nor its kind."""
    staying = {one.place[0] for name, one in said.contents.items() if name not in losing}
    wanted = {one.strip() for one in leave_out}
    shas = {sha256[:16]: sha256 for sha256 in said.names}
    left = {}
    for name, file in losing.items():
        sha256 = shas.get(name.partition("-")[0], "")
        kind = said.contents[name].place[0]
        if not wanted & {name, file, kind, sha256, sha256[:16], sha256[:12]}:
            left[name] = file if kind in staying else kind
    return left


def _record(
    wanted: Consent, old: OldArchive, made: Account, found: Differences, carried: Carried
) -> dict[str, Any]:
    """Return the journal's record: what stands in the archive now otherwise than it says so far."""
    said = old.said
    untold = [one for one in list_held(old.lab) if one.sha256 not in said.names]
    other = [one.measurement for one in found.otherwise]
    contents = {name: made.contents[name] for name in [*other, *found.added]}
    withdrawn = [
        one.as_record()
        for name, one in made.withdrawn.items()
        if said.withdrawn.get(name) != one or name in found.added
    ]
    ended = said.withdrawn.keys() - made.withdrawn.keys() - found.gone.keys()
    shaped = {}
    if wanted.today:
        own = shaping(old.lab)
        shaped = {"digest": digest_of(own), "settings": own}
    return {
        "event": RecordSort.REBUILT,
        **shaped,
        "rebuild": secrets.token_hex(8),
        "who": wanted.who,
        "keeps": bool(found) or bool(old.tables.findings),
        "mended": [f"{one.damage.code}: {one.where}" for one in old.tables.findings],
        "doubts": [doubt_of(one) for one in found.doubts],
        "no_longer_filed": list(found.gone),
        "no_longer_withdrawn": sorted(ended),
        "carried_over": dict(sorted(carried.why.items())),
        "recovered": carried.recovered,
        "given_up": [
            {"sha256": one.sha256, "name": one.name, "again": one.again} for one in found.given_up
        ],
        "held": [
            {
                "sha256": one.sha256,
                "name": one.name,
                "reason": one.reason.code,
                "again": one.again,
            }
            for one in (*found.held, *untold)
        ],
        "tables": as_tables(contents),
        "withdrawn": withdrawn,
    }
