"""The lab folder, its settings, and where everything in it stands."""

from __future__ import annotations

import hashlib
import json
import os
import re
import tomllib
from dataclasses import dataclass, fields
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal, TypeAlias
from zoneinfo import ZoneInfo

from pydantic import BaseModel, ConfigDict, Field, ValidationError, field_validator, model_validator

from tiecoat.contract.choices import Choices
from tiecoat.disk import fsio
from tiecoat.disk.shares import cache_folder, share_under
from tiecoat.errors import NotALab, SettingInvalid, refuse_newer
from tiecoat.lab.plugin_choices import (
    NO_EVALUATION_SET,
    NO_READER_SET,
    PluginChoices,
    as_json,
    taken_out,
)
from tiecoat.remarks import Remark
from tiecoat.wording import at_line

if TYPE_CHECKING:
    from tiecoat.dialect.habits import Habits

SETTINGS = "tiecoat.toml"
MOST_PARTS = 4  # of the folders of a lab: one of them may be lost too
INDEX = "index.sqlite"
FORMAT = 1  # of the settings; those that do not say it are of format 1
MARKER = "format.json"
LAB_FORMAT = 1  # of the lab as a whole; one without a marker is of format 1
MARKED = b'{"format": 1}'  # what stands in the marker of a new lab


class _SettingsSection(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)


def _encoding(name: str) -> str:
    try:
        "".encode(name)
    except LookupError:
        raise ValueError("no such encoding; allowed are names such as cp1252 or utf-8") from None
    return name


def _pattern(pattern: str) -> str:
    try:
        re.compile(pattern)
    except re.error as error:
        raise ValueError(f"not a regular expression: {error}") from None
    return pattern


def _together(patterns: object) -> object:
    """Make one pattern of several; the batch in the n-th is the group batch_n."""
    if not isinstance(patterns, list | tuple) or not all(isinstance(p, str) for p in patterns):
        return patterns
    if not patterns:
        raise ValueError("no pattern; allowed is one, or a list of them")
    parts = [_pattern(one) for one in patterns]
    named = [
        re.sub(r"\(\?P([<=])(\w+)([>)])", rf"(?P\g<1>\g<2>_{number}\g<3>", one)
        for number, one in enumerate(parts, 1)
    ]
    return parts[0] if len(parts) == 1 else f"(?:{'|'.join(f'(?:{one})' for one in named)})"


class InboxSettings(_SettingsSection):
    """One watched folder."""

    path: str = Field(min_length=1)
    watch: Literal["native", "polling"] = "native"
    after: Literal["move", "leave"] = "move"
    settle_s: Annotated[float, Field(ge=0, le=3600)] | None = None


class IntakeSettings(_SettingsSection):
    """How exports are taken in."""

    settle_s: float = Field(default=5.0, ge=0, le=3600)
    scan_s: float = Field(default=30.0, ge=0.1, le=3600)
    max_file_mb: float = Field(default=100.0, gt=0, le=100_000)
    free_mb: float = Field(default=1000.0, ge=0)
    ignore: tuple[str, ...] = Field(
        default=("~$*", ".*", "*.tmp", "*.part", "*.partial", "*.crdownload"), strict=False
    )


class IdPatterns(_SettingsSection):
    """How ids of batches and panels look in this lab: a pattern, or a list of patterns."""

    batch: str = r"[A-Z]{2}-[0-9]{3}"
    panel: str = r"(?P<batch>[A-Z]{2}-[0-9]{3})-[0-9]{1,2}"

    _joined = field_validator("batch", "panel", mode="before")(_together)
    _compiles = field_validator("batch", "panel")(_pattern)


class TimeSettings(_SettingsSection):
    """How to read local times."""

    zone: str = "UTC"
    formats: tuple[str, ...] = Field(default=(), strict=False)

    @field_validator("zone")
    @classmethod
    def _known(cls, zone: str) -> str:
        try:
            ZoneInfo(zone)
        except (LookupError, ValueError, OSError):
            raise ValueError(
                "no such time zone; allowed are names such as Europe/Berlin or UTC"
            ) from None
        return zone


class NumberSettings(_SettingsSection):
    """How to read numbers where a file leaves it open."""

    decimal: Literal["auto", "point", "comma"] = "auto"


class TextSettings(_SettingsSection):
    """How to read text that is neither UTF-8 nor UTF-16."""

    code_page: str = "cp1252"

    _exists = field_validator("code_page")(_encoding)


Policy = Literal["hold", "remark", "off"]


class CheckSettings(_SettingsSection):
    """What is done with what is odd: have the file held, file it with a remark, or nothing."""

    unregistered: Policy = "remark"
    future: Policy = "hold"
    before_made: Policy = "hold"
    exposure: Policy = "remark"
    before_coat: Policy = "remark"
    corrected: Policy = "remark"
    spread: Literal["remark", "off"] = "remark"

    def of(self, remark: Remark) -> Policy:
        """Return what is done with what this remark says."""
        return {
            Remark.UNREGISTERED_PANEL: self.unregistered,
            Remark.UNREGISTERED_BATCH: self.unregistered,
            Remark.FUTURE: self.future,
            Remark.BEFORE_MADE: self.before_made,
            Remark.EXPOSURE: self.exposure,
            Remark.BEFORE_COAT: self.before_coat,
            Remark.CORRECTED: self.corrected,
            Remark.SPREAD: self.spread,
            Remark.FACTOR_TEN: self.spread,
            Remark.ASSUMED: "remark",
            Remark.SELDOM: "remark",
        }[remark]


class ReaderSettings(_SettingsSection):
    """Where readers come from and what they may take."""

    folder: bool = False
    processes: int = Field(default=2, ge=1, le=64)
    time_limit_s: float = Field(default=30.0, ge=1, le=3600)
    memory_limit_mb: int = Field(default=4096, ge=2048, le=1_000_000)


ReadableBy: TypeAlias = Literal["owner", "group", "everybody"]


class AccessSettings(_SettingsSection):
    """Who may read what the lab keeps, on a computer that several accounts share."""

    readable_by: ReadableBy = "owner"


class ReportSettings(_SettingsSection):
    """How a report is written."""

    language: Literal["en", "de"] = "en"


class LakeSettings(_SettingsSection):
    """The lake that the service publishes into."""

    url: str | None = Field(default=None, min_length=1)

    @field_validator("url")
    @classmethod
    def _without_credentials(cls, url: str | None) -> str | None:
        if url is not None:
            from tiecoat.lab.lake_address import checked_address

            checked_address(url)
        return url


class Settings(_SettingsSection):
    """Everything in tiecoat.toml."""

    format: Literal[1] = 1
    inbox: tuple[InboxSettings, ...] = Field(
        default=(InboxSettings(path="inbox"),), min_length=1, strict=False
    )
    intake: IntakeSettings = IntakeSettings()
    ids: IdPatterns = IdPatterns()
    times: TimeSettings = TimeSettings()
    numbers: NumberSettings = NumberSettings()
    text: TextSettings = TextSettings()
    checks: CheckSettings = CheckSettings()
    readers: ReaderSettings = ReaderSettings()
    words: dict[str, dict[str, tuple[str, ...]]] = Field(default_factory=dict, strict=False)
    access: AccessSettings = AccessSettings()
    report: ReportSettings = ReportSettings()
    lake: LakeSettings = LakeSettings()
    evaluate: Choices = Field(default_factory=Choices)

    @model_validator(mode="after")
    def _distinct(self) -> Settings:
        paths = [box.path.casefold() for box in self.inbox]
        if len(set(paths)) < len(paths):
            raise ValueError("two [[inbox]] entries name the same path; allowed is one entry each")
        return self


@dataclass(frozen=True)
class Lab:
    """A lab folder and its settings.

    `root` is absolute. All paths below are inside it, but inboxes may lie elsewhere. `reading` and
    `evaluating` hold what is set for plugins, which is checked when they are loaded.
    """

    root: Path
    settings: Settings
    reading: PluginChoices = NO_READER_SET
    evaluating: PluginChoices = NO_EVALUATION_SET

    @cached_property
    def archive(self) -> Path:
        """Nothing but finished Parquet."""
        return self.root / "archive"

    @cached_property
    def originals(self) -> Path:
        """Every export as it arrived, under its SHA-256."""
        return self.root / "originals"

    @cached_property
    def held(self) -> Path:
        """What waits beside a reason."""
        return self.root / "held"

    @cached_property
    def stage(self) -> Path:
        """Half-made files, on the same disk as the archive."""
        return self.root / "stage"

    @cached_property
    def journal(self) -> Path:
        """What happened, by month."""
        return self.root / "journal"

    @cached_property
    def rollup(self) -> Path:
        """A copy of the archive in large files, by kind; made again at any time."""
        return self.root / "rollup"

    @cached_property
    def readers(self) -> Path:
        """The lab's own readers and table profiles."""
        return self.root / "readers"

    @cached_property
    def own_readers(self) -> Path | None:
        """The folder above, or None where the settings do not allow it."""
        return self.readers if self.settings.readers.folder else None

    @cached_property
    def index(self) -> Path:
        """The disposable index: in a cache folder of this account where the lab lies on a share."""
        if not share_under(self.root):
            return self.root / INDEX
        own = hashlib.sha256(os.fsencode(self.root)).hexdigest()[:16]
        return cache_folder() / own / INDEX

    @cached_property
    def lake(self) -> str | None:
        """The lake that the service publishes into: an address, or a folder; None for none."""
        from tiecoat.lab.lake_address import checked_address

        url = self.settings.lake.url
        return None if url is None else checked_address(url, beside=self.root)

    @cached_property
    def zone(self) -> ZoneInfo:
        """The time zone of times without an offset."""
        return ZoneInfo(self.settings.times.zone)

    @cached_property
    def habits(self) -> Habits:
        """What the lab does where a file leaves it open."""
        from tiecoat.dialect.habits import Habits

        settings = self.settings
        return Habits(
            code_page=settings.text.code_page,
            decimal=settings.numbers.decimal,
            zone=self.zone,
            time_formats=settings.times.formats,
            panel_ids=_look(settings.ids.panel),
            batch_ids=_look(settings.ids.batch),
            words=settings.words,
        )

    def inbox_path(self, inbox: InboxSettings) -> Path:
        """Absolute path of a watched folder."""
        return self.root / inbox.path


def _look(pattern: str) -> str:
    """Return the look of ids; one of nothing where the pattern would let any text pass."""
    anything = re.fullmatch(pattern, "no id: 4,2 [kg]", re.IGNORECASE)
    return r"(?!)" if anything else pattern


def has_lost_settings(root: Path) -> bool:
    """Say whether a folder holds a lab, but for its settings."""
    parts = ("originals", "journal", "archive", "held", "readers")
    there = sum(fsio.is_folder(root / part) for part in parts)
    return there >= MOST_PARTS and not fsio.is_there(root / SETTINGS)


def open_lab(folder: str | Path) -> Lab:
    """Read the settings of a lab.

    Raises
    ------
    NotALab
        If the folder holds no tiecoat.toml.
    SettingInvalid
        If a setting is not allowed; the message names key, line, value and what is allowed.
    WrittenByNewer
        If the lab or its settings are of a format that is not known here.
    """
    root = Path(folder).absolute()
    path = root / SETTINGS
    try:
        text = path.read_text(encoding="utf-8-sig")
    except (FileNotFoundError, NotADirectoryError):
        if has_lost_settings(root):
            raise NotALab(
                f"{root} is a lab that has lost its {SETTINGS}.\n"
                "Put it back from a backup, or have it written anew by what the journal says:"
                f" tiecoat new {folder}"
            ) from None
        raise NotALab(
            f"{root} is not a lab: it holds no {SETTINGS}.\n"
            f"Make one with: tiecoat new {folder}    or name another with --lab or TIECOAT_LAB"
        ) from None
    except UnicodeDecodeError as error:
        line = error.object.count(b"\n", 0, error.start) + 1
        raise SettingInvalid(f"{path}: line {line} is not UTF-8; save it as UTF-8") from None
    except OSError as error:
        raise SettingInvalid(f"{path}: cannot be opened: {error.strerror}") from None
    try:
        found = tomllib.loads(text)
        if isinstance(said := found.get("format"), int):
            refuse_newer(path, said, FORMAT)
        _check_marker(root)
        read = taken_out(found, "read", ())
        evaluate = taken_out(found, "evaluate", [one.name for one in fields(Choices)])
        return Lab(
            root,
            Settings.model_validate_json(as_json(found)),
            PluginChoices("read", read, path, text),
            PluginChoices("evaluate", evaluate, path, text),
        )
    except tomllib.TOMLDecodeError as error:
        raise SettingInvalid(f"{path}: not valid TOML: {at_line(str(error), text)}") from None
    except ValidationError as error:
        from tiecoat.lab.toml_lines import explain

        raise SettingInvalid(f"{path}:\n{explain(error, text, Settings)}") from None


def _check_marker(root: Path) -> None:
    """Check that a lab is of a format that is known here.

    Raises
    ------
    WrittenByNewer
        If it is not.
    SettingInvalid
        If its marker does not say of which format it is.
    """
    path = root / MARKER
    try:
        found = json.loads(path.read_bytes())["format"]
    except FileNotFoundError:
        return
    except (ValueError, LookupError, TypeError, RecursionError):
        raise SettingInvalid(
            f"{path} does not say of which format the lab is, such as {MARKED.decode()}\n"
            "Put it back from a backup. Where no newer tiecoat has used the lab, delete it."
        ) from None
    except OSError as error:
        raise SettingInvalid(f"{path}: cannot be opened: {error.strerror}") from None
    refuse_newer(root, found, LAB_FORMAT)
