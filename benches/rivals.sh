#!/usr/bin/env bash
# Yields beside numpy and beside a pivoted factorisation of every board: prints rates in million boards a
# second and the ratios. numpy lives in a virtual environment that is made under target/.
set -euo pipefail
cd "$(dirname "$0")/.."
boards="${1:-8000000}"
venv=target/rivals
if [ ! -x "$venv/bin/python" ]; then
    python3 -m venv "$venv"
    "$venv/bin/pip" install --quiet numpy
fi
cargo build --release --quiet
cargo bench --quiet --bench yields -- "$boards" >target/rivals.ours
"$venv/bin/python" benches/rivals.py 2000000 >target/rivals.theirs
cat target/rivals.ours target/rivals.theirs

# The whole command as a process, one million boards, medians of seven.
spec=target/rivals.toml
cat >"$spec" <<'SPEC'
[target]
gain = 100.8
[resistors]
tolerance = "0.1 %"
fixed = { RF = "24.9k", RG = "499", R1 = "10k", R2 = "10k" }
[opamp.all]
rejection = "100 dB"
[limits]
gain_error = "0.1 %"
rejection = "100 dB"
SPEC
"$venv/bin/python" - "$spec" target/rivals.ours target/rivals.theirs <<'PY'
import subprocess
import sys
import time

spec, *files = sys.argv[1:]
rate = {}
for name in files:
    for line in open(name):
        key, value = line.rsplit(" ", 1)
        rate[key] = float(value)


def seconds(*command):
    times = []
    for _ in range(7):
        started = time.perf_counter()
        subprocess.run(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        times.append(time.perf_counter() - started)
    return sorted(times)[3]


ours = "target/release/evenkeel"
command = seconds(ours, "yield", spec, "--boards", "1e6", "--threads", "2")
numpy = seconds(sys.executable, "benches/rivals.py", "once", "uniform", "1e6")
empty = seconds("/bin/true")
rows = [
    ("uniform, two threads, to numpy in chunks", rate["ideal uniform 2"] / rate["numpy uniform"], 15),
    ("normal, two threads, to numpy in chunks", rate["ideal normal 2"] / rate["numpy normal"], 25),
    ("finite op amps, to pivoted LU, two threads each", rate["finite uniform 2"] / rate["pivoted 2"], 30),
    ("finite op amps, two threads, to numpy solve", rate["finite uniform 2"] / rate["numpy solve"], 100),
    ("two threads to one, uniform", rate["ideal uniform 2"] / rate["ideal uniform 1"], 1.8),
    ("the command, 1e6 boards, to numpy as a process", numpy / command, 20),
    ("start-up to /bin/true (at most)", seconds(ours, "--version") / empty, 1.9),
    ("design of the hook load to /bin/true (at most)", seconds(ours, "design", "examples/hook-load.toml") / empty, 20),
]
for name, ratio, target in rows:
    print(f"{name:50} {ratio:8.2f}   target {target}")
PY
