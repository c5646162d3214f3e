"""Makes test/fixtures/sound/: short invented sounds written by SoX and FFmpeg, and what FFmpeg and SciPy read in them.

Needs the Debian packages sox, libsox-fmt-all, ffmpeg, and SciPy. Run from the project folder:
    python3 tools/reference/sound-files.py [names of the files to make again; all]
Some encoders put the time or a serial number into their files, so a second run differs in bytes, not in samples.
"""

import json
import math
import os
import random
import struct
import subprocess
import sys
import tempfile
import wave

import numpy
import scipy
from scipy.io import wavfile

OUT = "test/fixtures/sound"
FFMPEG = ["ffmpeg", "-hide_banner", "-loglevel", "error", "-y"]
TEMP = tempfile.mkdtemp()


def invent(name, rate, seconds, channels):
    """A sweep from 200 Hz to a fifth of the rate with a click, a different one in each channel: any shift shows."""
    chance = random.Random(4)
    frames = int(rate * seconds)
    out = bytearray()
    for i in range(frames):
        t = i / rate
        phase = 2 * math.pi * (200 * t + (rate / 5 - 200) * t * t / (2 * seconds))
        for channel in range(channels):
            value = 0.4 / (channel + 1) * math.sin(phase * (1 + 0.1 * channel))
            value += 0.004 * (chance.random() - 0.5)
            if i == frames // 2:
                value += 0.5
            out += struct.pack("<h", round(value * 32767))
    path = os.path.join(TEMP, name)
    with wave.open(path, "wb") as file:
        file.setnchannels(channels)
        file.setsampwidth(2)
        file.setframerate(rate)
        file.writeframes(bytes(out))
    return path


SMALL = invent("small.wav", 8000, 0.05, 2)
SIX = invent("six.wav", 48000, 0.01, 6)
MONO = invent("mono.wav", 44100, 0.3, 1)
STEREO = invent("stereo.wav", 48000, 0.3, 2)
BRIEF = invent("brief.wav", 48000, 0.1, 2)
PICTURE = ["-f", "lavfi", "-i", "testsrc=s=32x32:r=10:d=0.3"]
PLAIN_AAC = ["-c:a", "aac", "-aac_pns", "0"]
DATE = ["-metadata", "creation_time=2026-06-01T08:00:00Z"]

BY_SOX = {
    "u8.wav": [SMALL, "-b", "8", "-e", "unsigned-integer"],
    "s16.wav": [SMALL, "-b", "16"],
    "s24.wav": [SMALL, "-b", "24"],
    "s32.wav": [SMALL, "-b", "32", "-e", "signed-integer"],
    "f32.wav": [SMALL, "-b", "32", "-e", "floating-point"],
    "f64.wav": [SMALL, "-b", "64", "-e", "floating-point"],
    "a-law.wav": [SMALL, "-b", "8", "-e", "a-law"],
    "mu-law.wav": [SMALL, "-b", "8", "-e", "mu-law"],
    "six-channels.wav": [SIX, "-b", "24"],
}
BY_FFMPEG = {
    "rf64.wav": ["-i", SMALL, "-rf64", "always"],
    "bext.wav": ["-i", SMALL, "-write_bext", "1", "-metadata", "origination_date=2026-06-01", "-metadata", "origination_time=10:30:05"],
    "adpcm.wav": ["-i", SMALL, "-c:a", "adpcm_ms"],
    "mono.mp3": ["-i", MONO, "-b:a", "64k"],
    "stereo.mp3": ["-i", STEREO, "-b:a", "128k"],
    "no-length.mp3": ["-i", MONO, "-b:a", "64k", "-write_xing", "0", "-id3v2_version", "0"],
    "mono.m4a": ["-i", MONO, *PLAIN_AAC, "-b:a", "64k", *DATE],
    "stereo.m4a": ["-i", STEREO, *PLAIN_AAC, "-b:a", "128k", "-movflags", "+faststart"],
    "lossless.m4a": ["-i", BRIEF, "-c:a", "alac"],
    "fragments.mp4": ["-i", STEREO, *PLAIN_AAC, "-b:a", "96k", "-movflags", "frag_keyframe+empty_moov", "-frag_duration", "100000"],
    "video.mp4": [*PICTURE, "-i", STEREO, "-c:v", "mpeg4", *PLAIN_AAC, "-b:a", "96k", *DATE],
    "video.mov": [*PICTURE, "-i", SMALL, "-c:v", "mpeg4", "-c:a", "pcm_s16be"],
    "camera.mov": ["-i", SMALL, "-c:a", "pcm_s24le"],
    "mute.mp4": [*PICTURE, "-c:v", "mpeg4"],
    "other.mp4": ["-i", BRIEF, "-c:a", "ac3"],
    "units.aac": ["-i", MONO, *PLAIN_AAC, "-b:a", "64k"],
    "mono.ogg": ["-i", MONO, "-c:a", "libvorbis"],
    "stereo.opus": ["-i", STEREO, "-c:a", "libopus", "-b:a", "64k"],
    "stereo.webm": ["-i", STEREO, "-c:a", "libopus", "-b:a", "64k"],
    "mono.flac": ["-i", MONO],
    "deep.flac": ["-i", SMALL, "-sample_fmt", "s32", "-af", "volume=0.7"],
    "brief.oga": ["-i", BRIEF, "-f", "ogg", "-c:a", "flac"],
    "aiff.aiff": ["-i", SMALL, "-f", "aiff"],
    "speech.spx": ["-i", SMALL, "-ac", "1", "-c:a", "libspeex"],
}
# Written to a pipe, where no length can be filled in afterwards: as a recorder leaves it that loses power.
TO_A_PIPE = {
    "pipe-ffmpeg.wav": [*FFMPEG, "-i", SMALL, "-f", "wav", "-"],
    "pipe-sox.wav": ["sox", SMALL, "-t", "wav", "-"],
}


def version(*command):
    return subprocess.run(command, capture_output=True, text=True).stdout.splitlines()[0].strip()


def read_by_ffmpeg(path):
    ask = ["ffprobe", "-v", "error", "-select_streams", "a:0", "-of", "json", "-show_entries", "stream=sample_rate,channels", path]
    streams = json.loads(subprocess.run(ask, capture_output=True, text=True).stdout).get("streams")
    if not streams:
        return None
    raw = subprocess.run([*FFMPEG, "-i", path, "-map", "a:0", "-f", "f32le", "-"], capture_output=True).stdout
    channels = int(streams[0]["channels"])
    return int(streams[0]["sample_rate"]), numpy.frombuffer(raw, "<f4").reshape(-1, channels)


def main():
    os.makedirs(OUT, exist_ok=True)
    named = sys.argv[1:]
    for made in (BY_SOX, BY_FFMPEG, TO_A_PIPE):
        for name in [name for name in made if named and name not in named]:
            del made[name]
    for name, command in BY_SOX.items():
        subprocess.run(["sox", "-D", command[0], *command[1:], f"{OUT}/{name}"], check=True)
    for name, command in BY_FFMPEG.items():
        subprocess.run([*FFMPEG, *command, f"{OUT}/{name}"], check=True)
    for name, command in TO_A_PIPE.items():
        with open(f"{OUT}/{name}", "wb") as file:
            subprocess.run(command, check=True, stdout=file)
    files = json.load(open(f"{OUT}/files.json"))["files"] if named else {}
    for name in [*BY_SOX, *BY_FFMPEG, *TO_A_PIPE]:
        path = f"{OUT}/{name}"
        read = read_by_ffmpeg(path)
        if read is None:
            continue
        rate, samples = read
        every = 14 * max(1, len(samples) // 400)
        by = "sox" if name in BY_SOX or name == "pipe-sox.wav" else "ffmpeg"
        files[name] = {"by": by, "sampleRateHz": rate, "channels": samples.shape[1], "samples": len(samples), "every": every}
        # All channels of every n-th moment, rounded to what single precision holds.
        files[name]["values"] = [[float(f"{v:.9g}") for v in row] for row in samples[::every]]
        if name in ("s16.wav", "s32.wav", "f32.wav", "u8.wav"):
            second = wavfile.read(path)[1].astype(float)
            full = {"s16.wav": (0, 32768), "s32.wav": (0, 2**31), "f32.wav": (0, 1), "u8.wav": (128, 128)}[name]
            assert numpy.allclose((second - full[0]) / full[1], samples, atol=1e-7), name
            files[name]["alsoReadBy"] = "scipy.io.wavfile, the same values"
    with open(f"{OUT}/files.json", "w") as file:
        head = {
            "script": "tools/reference/sound-files.py",
            "versions": [version("sox", "--version"), version("ffmpeg", "-version"), f"SciPy {scipy.__version__}"],
        }
        file.write(json.dumps({**head, "files": files}, separators=(",", ":")) + "\n")


main()
