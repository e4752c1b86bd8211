"""What a picture of 12 megapixels costs each reader of pictures: time, and memory at its peak."""

from __future__ import annotations

import multiprocessing
import random
import sys
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))  # for what makes pictures

MEGABYTE = 1e6
NAMES = {
    "cross_section": "RB-010-1 section 1",
    "transmitted_light": "RB-010-1 transmitted light",
    "rust_photograph": "RB-010-1 exposed 480 h",
}
UM_PER_PIXEL = {"cross_section": 0.5, "transmitted_light": 27.0, "rust_photograph": 27.0}


def write_pictures(folder: Path) -> list[tuple[str, Path]]:
    """Write a picture of about 3000 x 4000 pixels for each reader, and return whose it is."""
    from photographs import Spot, exposed, film, saved, scattered
    from section_pictures import Cut

    cut = Cut(rows=1000, columns=1333, surface=270.0, substrate=760.0, roughness=10, blur=1.0)
    places = scattered(random.Random(1), 60, (90.0, 65.0), 3.0)
    spots = [Spot(x, y, 1.0, 3.0) for x, y in places]
    pictures = {
        "cross_section": cut.with_pores(0.06, 6.0).pixels(),
        "transmitted_light": film(spots, (90.0, 65.0)),
        "rust_photograph": exposed(spots, (90.0, 65.0), pixel_mm=0.08).pixels,
    }
    found = []
    for reader, pixels in pictures.items():
        path = folder / f"{NAMES[reader]}.png"
        path.write_bytes(saved(np.repeat(np.repeat(pixels, 3, axis=0), 3, axis=1)))
        found.append((reader, path))
    return found


def cost(reader: str, path: str) -> tuple[int, float, float, float]:
    """Read a picture; return pixels, seconds, those on a processor, and megabytes at the peak."""
    from tiecoat.dialect.export import Export
    from tiecoat.extend.loading import load_plugins

    plugins = load_plugins(None)
    export = Export(Path(path), Path(path).name)
    export.choices = plugins.readers[reader].choices(um_per_pixel=UM_PER_PIXEL[reader])
    start, busy = time.perf_counter(), time.process_time()
    list(plugins.readers[reader].read(export))
    seconds, busy = time.perf_counter() - start, time.process_time() - busy
    peak = peak_bytes() / MEGABYTE
    height, width, _ = export.picture().pixels.shape
    return height * width, seconds, busy, peak


def peak_bytes() -> int:
    """Return the largest memory that this process has had."""
    if sys.platform == "win32":
        import psutil

        return int(psutil.Process().memory_info().peak_wset)
    import resource

    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * (
        1 if sys.platform == "darwin" else 1024
    )


def run(folder: Path) -> str:
    """Return the figures in words; each reader has a fresh process."""
    told = []
    for reader, path in write_pictures(folder):
        with multiprocessing.get_context("spawn").Pool(1) as pool:
            pixels, seconds, busy, megabytes = pool.apply(cost, (reader, str(path)))
        told.append(
            f"{reader}, {pixels / 1e6:.1f} megapixels: {seconds:.1f} s, {busy:.1f} s of them on a"
            f" processor, {megabytes:,.0f} MB at most"
        )
    return "\n".join(told)
