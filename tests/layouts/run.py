"""Generated exports tried on the program: a table of kind by right, held and wrong.

python -m tests.layouts.run --n 2000 --seed 1 [--kind K] [--mistakes] [--show wrong|held]
"""

from __future__ import annotations

import argparse
import os
import tempfile
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

from .case import Case
from .compose import FLAVOURS, layout
from .trying import Verdict, bench, judge

PROCESSES = 2
PIECE = 200
WORDS = ("right", "held", "remarked", "wrong")


def cases(seeds: range, flavour: str | None, *, mistakes: bool) -> list[Case]:
    """Return the cases of these seeds, each kind in its turn."""
    if mistakes:
        from .mistakes import mistaken

        return [mistaken(seed, flavour or FLAVOURS[seed % len(FLAVOURS)]) for seed in seeds]
    return [layout(seed, flavour or FLAVOURS[seed % len(FLAVOURS)]) for seed in seeds]


def tried(
    seeds: range, flavour: str | None = None, *, mistakes: bool = False
) -> list[tuple[Case, Verdict]]:
    """Make the cases of these seeds, try and judge them."""
    found = []
    with bench() as made:
        for start in range(seeds.start, seeds.stop, PIECE):
            piece = cases(range(start, min(start + PIECE, seeds.stop)), flavour, mistakes=mistakes)
            outcomes = made.outcome(piece)
            found += [
                (case, judge(case, outcome)) for case, outcome in zip(piece, outcomes, strict=True)
            ]
    return found


def tried_in_processes(
    seeds: range, flavour: str | None = None, *, mistakes: bool = False
) -> list[tuple[Case, Verdict]]:
    """The same, shared by two processes."""
    middle = (seeds.start + seeds.stop) // 2
    halves = [range(seeds.start, middle), range(middle, seeds.stop)]
    with ProcessPoolExecutor(PROCESSES) as pool:
        futures = [pool.submit(tried, half, flavour, mistakes=mistakes) for half in halves]
        return [one for future in futures for one in future.result()]


def table(judged: Sequence[tuple[Case, Verdict]]) -> str:
    """Return kind x right, held, remarked, wrong."""
    counted: dict[str, Counter[str]] = {}
    for case, verdict in judged:
        counted.setdefault(case.flavour, Counter())[verdict.word] += 1
    lines = [f"{'kind':<18}{'n':>7}" + "".join(f"{word:>10}" for word in WORDS)]
    total: Counter[str] = Counter()
    for flavour, words in sorted(counted.items()):
        total += words
        lines.append(_line(flavour, words))
    return "\n".join([*lines, _line("all", total)])


def _line(name: str, words: Counter[str]) -> str:
    return f"{name:<18}{words.total():>7}" + "".join(f"{words[word]:>10}" for word in WORDS)


def kept(judged: Sequence[tuple[Case, Verdict]], words: Sequence[str], folder: Path) -> None:
    """Write the files with these verdicts, each beside its truth and what the program says."""
    for case, verdict in judged:
        if verdict.word in words:
            place = folder / verdict.word / case.flavour / str(case.seed)
            place.mkdir(parents=True)
            (place / case.name).write_bytes(case.content)
            (place / "truth.txt").write_text("\n".join(_truth(case, verdict)), encoding="utf-8")


def _truth(case: Case, verdict: Verdict) -> Iterator[str]:
    yield f"verdict: {verdict.word}: {verdict.why}"
    yield f"mistake: {case.mistake or 'none'}"
    yield f"seed: {case.seed} --kind {case.flavour}; folder: {case.folder!r}"
    yield f"traits: {', '.join(case.traits)}"
    yield f"kind: {case.kind}, {len(case.rows)} rows"
    for row in case.rows:
        yield "  " + ", ".join(f"{name}={value}" for name, value in row.items())


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command."""
    parser = argparse.ArgumentParser(description=__doc__, prog="python -m tests.layouts.run")
    parser.add_argument("--n", type=int, default=500, help="number of cases")
    parser.add_argument("--seed", type=int, default=1, help="number of the first case")
    parser.add_argument("--kind", choices=FLAVOURS)
    parser.add_argument("--mistakes", action="store_true")
    parser.add_argument("--show", choices=WORDS, help="print the cases of this verdict")
    parser.add_argument("--traits", action="store_true", help="count verdicts by trait")
    chosen = parser.parse_args(arguments)
    started = time.monotonic()
    seeds = range(chosen.seed, chosen.seed + chosen.n)
    judged = tried_in_processes(seeds, chosen.kind, mistakes=chosen.mistakes)
    took = time.monotonic() - started
    folder = Path(tempfile.mkdtemp(prefix="layouts-"))
    kept(judged, [word for word in WORDS if word not in {"right", "remarked"}], folder)
    print(table(judged))
    print(f"{chosen.n / took:.0f} cases a second; held and wrong ones are in {folder}")
    if chosen.traits:
        print(by_trait(judged))
    for case, verdict in judged:
        if verdict.word == chosen.show:
            place = folder / verdict.word / case.flavour / str(case.seed) / case.name
            print(f"{place}\n    {case.mistake or ', '.join(case.traits)}\n    {verdict.why[:300]}")


def by_trait(judged: Sequence[tuple[Case, Verdict]]) -> str:
    """Return how often each trait, or each mistake, ended how."""
    counted: dict[str, Counter[str]] = {}
    for case, verdict in judged:
        for trait in [case.mistake] if case.mistake else case.traits:
            counted.setdefault(trait, Counter())[verdict.word] += 1
    return "\n".join(
        f"{trait[:60]:<60} " + "  ".join(f"{word} {words[word]}" for word in WORDS if words[word])
        for trait, words in sorted(counted.items())
    )


if __name__ == "__main__":
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    main()
