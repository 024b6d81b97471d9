"""Spoiled recordings by the thousand: does anything crash or hang?

    python benchmarks/fuzz_recordings.py [COUNT] [FIRST]

Small recordings of two taps in every format are spoiled (bytes changed, cut out, doubled, cut off, heads
overwritten, two files spliced), decoded as `kerftone listen` does, and heard. A worker process does the
work, so that a decoder that dies is counted and not fatal; a file that takes longer than 10 s counts as hung.
Number N is always spoiled in the same way. Prints what
became of them; exit code 1 when anything was a fault.
"""

from __future__ import annotations

import io
import re
import subprocess
import sys
import tempfile
import threading
import time
from collections import Counter
from pathlib import Path

import av
import numpy as np
import soundfile

PATIENCE_S = 10.0
RATE = 16000


def taps() -> np.ndarray:
    """Two struck tones, 0.45 s (synthetic)."""
    t = np.arange(int(0.45 * RATE)) / RATE
    second = np.maximum(t - 0.25, 0.0)
    one = np.exp(-t * 14.0) * np.sin(2 * np.pi * 220.0 * t)
    return 0.4 * one + 0.4 * np.exp(-second * 14.0) * np.sin(2 * np.pi * 330.0 * second)


def by_sndfile(kind: str, subtype: str) -> bytes:
    out = io.BytesIO()
    soundfile.write(out, np.stack([taps(), 0.5 * taps()], 1), RATE, format=kind, subtype=subtype)
    return out.getvalue()


def by_libav(kind: str, codec: str, rate: int = RATE) -> bytes:
    out = io.BytesIO()
    sound = np.float32(np.repeat(taps(), rate // RATE))
    with av.open(out, "w", format=kind) as box:
        stream = box.add_stream(codec, rate=rate, layout="mono")
        for at in range(0, len(sound), 1024):
            part = sound[None, at : at + 1024]
            frame = av.AudioFrame.from_ndarray(part, format="fltp", layout="mono")
            frame.sample_rate = rate
            box.mux(stream.encode(frame))
        box.mux(stream.encode(None))
    return out.getvalue()


def whole_files() -> dict[str, bytes]:
    """One sound recording of each kind."""
    kinds = [("WAV", s) for s in ("PCM_U8", "PCM_16", "PCM_24", "PCM_32", "FLOAT", "DOUBLE", "IMA_ADPCM")]
    kinds += [("FLAC", "PCM_16"), ("OGG", "VORBIS"), ("OGG", "OPUS"), ("MP3", "MPEG_LAYER_III")]
    kinds += [("AIFF", "PCM_16"), ("AU", "PCM_16"), ("CAF", "ALAC_16"), ("W64", "PCM_16")]
    files = {f"{kind.lower()}-{sub.lower()}": by_sndfile(kind, sub) for kind, sub in kinds}
    files["m4a-aac"] = by_libav("ipod", "aac")
    files["m4a-alac"] = by_libav("ipod", "alac")
    files["3gp-aac"] = by_libav("3gp", "aac")
    files["webm-opus"] = by_libav("webm", "libopus", 48000)
    files["mka-aac"] = by_libav("matroska", "aac")
    files["adts-aac"] = by_libav("adts", "aac")
    return files


def spoiled(files: dict[str, bytes], number: int) -> tuple[str, bytes]:
    """Recording `number`, spoiled its own way: of which kind it was, and its bytes."""
    rng = np.random.default_rng(number)
    names = sorted(files)
    name = names[number % len(names)]
    data = bytearray(files[name])
    for _ in range(int(rng.integers(1, 4))):
        way, at = int(rng.integers(8)), int(rng.integers(max(1, len(data))))
        near = int(rng.integers(min(200, max(1, len(data)))))
        if way == 0:
            data = data[:at]
        elif way == 1:
            for place in rng.integers(0, max(1, len(data)), size=int(rng.integers(1, 40))):
                data[place : place + 1] = bytes([int(rng.integers(256))])
        elif way == 2:
            data[near : near + 1] = bytes([int(rng.integers(256))])
        elif way == 3:
            data[near : near + 4] = rng.choice(
                [b"\xff" * 4, b"\0" * 4, b"\x7f\xff\xff\xff", b"\xff\xff\xff\x7f"]
            )
        elif way == 4:
            del data[at : at + int(rng.integers(1, 500))]
        elif way == 5:
            data[at:at] = data[at : at + int(rng.integers(1, 500))]
        elif way == 6:
            other = files[names[int(rng.integers(len(names)))]]
            data[at:] = other[int(rng.integers(len(other))) :]
        else:
            data[near : near + 16] = rng.bytes(16)
    return name, bytes(data)


def become(file: Path) -> str:
    """What becomes of one file: as the command does it, in this process."""
    from kerftone.ear import decoder, guard
    from kerftone.ear.listen import analyse_stream
    from kerftone.errors import RecordingError

    try:
        guard.check_path(file)
        out = io.BytesIO()
        decoder.speak(file, out)
        out.seek(0)
        messages = iter(
            [
                (head[:1], out.read(int.from_bytes(head[1:], "little")))
                for head in iter(lambda: out.read(5), b"")
            ]
        )
        about = guard._about(messages, file)
        guard._check(about, file, part=True)
        heard = analyse_stream(guard._samples(messages, file), about.sample_rate)
    except RecordingError as error:
        words = re.sub(r"[\d.]+(e[+-]\d+)?", "#", str(error).split(": ", 1)[1])
        return "refused: " + words[:60]
    return "heard" if heard.strikes else "decoded, no strike"


def work() -> None:
    """The worker: a path a line in, what became of it out."""
    decoder_cap()
    for line in sys.stdin:
        print(become(Path(line.rstrip("\n"))), flush=True)


def decoder_cap() -> None:
    from kerftone.ear.decoder import cap_memory

    cap_memory()


def main(count: int, first: int) -> int:
    files = whole_files()
    counts: Counter[str] = Counter()
    slowest, began, faults = 0.0, time.perf_counter(), 0
    worker: subprocess.Popen[str] | None = None
    with tempfile.TemporaryDirectory() as folder:
        for number in range(first, first + count):
            if worker is None or worker.poll() is not None:
                worker = subprocess.Popen(
                    [sys.executable, __file__, "--work"],
                    stdin=subprocess.PIPE,
                    stdout=subprocess.PIPE,
                    stderr=subprocess.PIPE,
                    text=True,
                )
            name, data = spoiled(files, number)
            path = Path(folder) / f"{number % 50}.{name.split('-')[0]}"
            path.write_bytes(data)
            assert worker.stdin and worker.stdout and worker.stderr
            start = time.perf_counter()
            dog = threading.Timer(PATIENCE_S, worker.kill)
            dog.start()
            worker.stdin.write(f"{path}\n")
            worker.stdin.flush()
            said = worker.stdout.readline().strip()
            dog.cancel()
            took = time.perf_counter() - start
            slowest = max(slowest, took)
            if not said:
                code = worker.wait()
                said = f"HUNG {name}" if took > PATIENCE_S else f"ENDED with {code}: {name}"
                faults += code == 1 or took > PATIENCE_S
                print(f"file {number} ({name}): {said}\n{worker.stderr.read()[-1500:]}", flush=True)
            counts[said] += 1
    for said, many in counts.most_common():
        print(f"{many:6d}  {said}")
    print(f"{count} files from {first}: slowest {slowest:.2f} s, in all {time.perf_counter() - began:.0f} s")
    return int(bool(faults))


if __name__ == "__main__":
    if sys.argv[1:] == ["--work"]:
        work()
    else:
        given = [int(word) for word in sys.argv[1:]] + [10000, 0][len(sys.argv) - 1 :]
        sys.exit(main(given[0], given[1]))
