"""Reference values for test/core/signal/welch.test.ts: scipy.signal.welch, windows and noise bandwidths on small seeded inputs.

Run from the project folder: /usr/bin/python3 tools/reference/welch.py
"""
import json
import numpy as np
import scipy
from scipy import signal

rng = np.random.default_rng(20261125)
fs = 8000.0
t = np.arange(700) / fs
samples = 0.3 + 0.5 * np.sin(2 * np.pi * 1234.5 * t) + 0.2 * np.cumsum(rng.normal(size=t.size)) / 10 + rng.normal(size=t.size) * 0.1
samples = np.round(samples, 6)

names = {
    "hann": "hann",
    "blackman-harris": "blackmanharris",
    "flat-top": "flattop",
    "rectangular": "boxcar",
    "kaiser": ("kaiser", 8.6),
}
cases = []
for window in names:
    for scaling in ("density", "spectrum"):
        for detrend, segment, overlap in (("constant", 128, 64), ("none", 64, 48)):
            hz, psd = signal.welch(
                samples, fs, window=names[window], nperseg=segment, noverlap=overlap,
                detrend=False if detrend == "none" else detrend, scaling=scaling)
            cases.append(dict(window=window, scaling=scaling, detrend=detrend, segment=segment,
                              overlap=overlap, hz=hz.tolist(), psd=psd.tolist()))
windows = {name: signal.get_window(scipy_name, 64).tolist() for name, scipy_name in names.items()}

with open("test/fixtures/signal/welch.json", "w") as file:
    json.dump(dict(script="tools/reference/welch.py", scipy=scipy.__version__, numpy=np.__version__,
                   sampleRateHz=fs, kaiserBeta=8.6, samples=samples.tolist(), windows=windows, cases=cases), file)
    file.write("\n")
