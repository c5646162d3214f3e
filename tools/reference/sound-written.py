"""Reads the WAV files of sound-written.ts with SciPy, Python's wave and SoX and compares them with what was written."""

import hashlib
import math
import subprocess
import sys
import wave

import numpy
from scipy.io import wavfile

left = numpy.array([math.sin(i / 3) * 0.7 for i in range(101)])
right = numpy.array([x if i % 2 else -x / 2 for i, x in enumerate(left)])
wanted = numpy.stack([left, right], 1)
for name, zero, full in [("pcm8", 128, 128), ("pcm16", 0, 2**15), ("pcm24", 0, 2**31), ("pcm32", 0, 2**31), ("float32", 0, 1), ("float64", 0, 1)]:
    path = f"{sys.argv[1]}/{name}.wav"
    bits = int(name.lstrip("pcmfloat"))
    step = 2.0 ** (1 - bits) if name.startswith("pcm") else 2.0**-24
    rate, samples = wavfile.read(path)
    assert rate == 48000 and abs((samples.astype(float) - zero) / full - wanted).max() <= 0.5001 * step, name
    raw = subprocess.run(["sox", path, "-t", "f64", "-"], capture_output=True, check=True).stdout
    # SoX works with 32-bit whole numbers inside.
    assert abs(numpy.frombuffer(raw, "<f8").reshape(-1, 2) - wanted).max() <= max(0.5001 * step, 2.0**-31), name
    if name.startswith("pcm"):
        with wave.open(path) as file:
            assert (file.getnchannels(), file.getnframes(), file.getsampwidth() * 8) == (2, 101, bits)
    print(name, "read rightly", hashlib.sha256(open(path, "rb").read()).hexdigest()[:16])
