"""What a yield costs by boards and by resistors, its memory, and its tail against brute force.

Everything is asked of the release binary as a process. Prints tables, and with --svg FILE draws the cost
over the number of boards. Takes a minute; with --long, five (1e9 boards for the tail).
"""
import json
import math
import os
import subprocess
import sys
import tempfile
import time

OURS = "target/release/evenkeel"
PLAIN = """[target]
gain = 100.8
[resistors]
tolerance = "0.1 %"
fixed = {{ RF = "24.9k", RG = "499", R1 = "10k", R2 = "10k" }}
[opamp.all]
rejection = "100 dB"
[limits]
gain_error = "0.1 %"
rejection = "{rejection}"
"""
# Four, seven, eleven and sixteen uncertain passive parts.
CIRCUITS = {
    4: '[target]\ngain = 10\n[circuit]\ntopology = "difference"\n[resistors]\ntolerance = "0.1 %"\n'
    '[limits]\nrejection = "50 dB"\n',
    7: PLAIN.format(rejection="100 dB"),
    11: '[target]\ngain = 100\n[source]\nresistance = "350"\nbias_return = "1M"\n[input_filter]\nresistor = "1k"\n'
    'common_capacitor = "1n"\ndifferential_capacitor = "10n"\n[resistors]\ntolerance = "0.1 %"\n'
    '[limits]\nrejection = "60 dB"\n',
    16: '[target]\ngain = 100\n[source]\nresistance = "350"\nbias_return = "1M"\ncable_capacitance = "1n"\n'
    '[interference]\nfrequency = "50 Hz"\namplitude = "1 V"\n[input_filter]\nresistor = "1k"\n'
    'common_capacitor = "1n"\ndifferential_capacitor = "10n"\n[resistors]\ntolerance = "0.1 %"\n'
    '[opamp.all]\ngain_bandwidth = "1 MHz"\n[limits]\nrejection = "60 dB"\nrejection_at_interference = "50 dB"\n',
}


def ask(spec, *options):
    """Seconds, peak memory in MiB, and the answer."""
    started = time.perf_counter()
    run = subprocess.Popen(
        [OURS, "yield", spec, "--format", "json", *options], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
    )
    text = run.stdout.read()
    _, _, usage = os.wait4(run.pid, 0)
    return time.perf_counter() - started, usage.ru_maxrss / 1024, json.loads(text)


def by_boards(spec, exponents):
    rows = []
    for exponent in exponents:
        times = [ask(spec, "--boards", f"1e{exponent}")[:2] for _ in range(3 if exponent < 8 else 1)]
        rows.append((exponent, *sorted(times)[len(times) // 2]))
    return rows


def drawn(rows):
    """Cost over boards, both axes in decades."""
    left, top, width, height = 60, 20, 360, 240
    x = lambda e: left + (e - rows[0][0]) / (rows[-1][0] - rows[0][0]) * width
    logs = [math.log10(s) for _, s, _ in rows]
    low, high = math.floor(min(logs)), math.ceil(max(logs))
    y = lambda v: top + (high - v) / (high - low) * height
    out = [f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {left + width + 20} {top + height + 50}" role="img">']
    out.append("<title>Seconds for a yield over the number of boards</title>")
    for e, _, _ in rows:
        out.append(f'<text x="{x(e):.0f}" y="{top + height + 18}" text-anchor="middle" font-size="12">1e{e}</text>')
    for v in range(low, high + 1):
        out.append(f'<text x="{left - 8}" y="{y(v) + 4:.0f}" text-anchor="end" font-size="12">1e{v} s</text>')
        out.append(f'<path d="M{left} {y(v):.1f}h{width}" stroke="#ccc"/>')
    points = " ".join(f"{x(e):.1f},{y(v):.1f}" for (e, _, _), v in zip(rows, logs))
    out.append(f'<polyline points="{points}" fill="none" stroke="#205080" stroke-width="2"/>')
    out.append(f'<text x="{left + width / 2}" y="{top + height + 40}" text-anchor="middle" font-size="12">boards</text></svg>')
    return "\n".join(out) + "\n"


def main():
    long = "--long" in sys.argv
    with tempfile.TemporaryDirectory() as folder:
        def spec(name, text):
            path = os.path.join(folder, name + ".toml")
            with open(path, "w") as file:
                file.write(text)
            return path

        rows = by_boards(spec("plain", CIRCUITS[7]), range(3, 10 if long else 9))
        print("boards      seconds   ns a board   MiB")
        for exponent, seconds, memory in rows:
            print(f"1e{exponent} {seconds:16.4f} {seconds / 10**exponent * 1e9:12.1f} {memory:5.0f}")
        if "--svg" in sys.argv:
            with open(sys.argv[sys.argv.index("--svg") + 1], "w") as file:
                file.write(drawn(rows))
        print("\nuncertain passive parts   ns a board, 1e7 boards")
        for parts, text in CIRCUITS.items():
            path = spec(f"parts{parts}", text)
            none = min(ask(path, "--boards", "1e3")[0] for _ in range(3))
            print(f"{parts:10} {(min(ask(path, '--boards', '1e7')[0] for _ in range(3)) - none) / 1e7 * 1e9:20.1f}")

        # The tail beyond 89 dB, where brute force can still be afforded.
        path = spec("tail", PLAIN.format(rejection="89 dB"))
        _, _, answer = ask(path, "--tail", "--boards", "1e5")
        tail = next(one for one in answer.get("yield", answer)["tail"] if one["limit"] == "rejection")
        p, half = tail["probability"], (tail["high"] - tail["low"]) / 2
        print(f"\ntail beyond 89 dB: {p:.4e} ± {half / p:.2%} (95 %), effective boards {tail['effective_samples']:.0f}")
        drawn_boards = 2 * 32768  # two rounds, src/yields/tail.rs
        brute = (1.96 * p / half) ** 2 / p
        print(f"brute force for the same interval: {brute:.3g} boards, {brute / drawn_boards:.3g} times as many")
        for limit in ["88.75 dB", "88.5 dB"]:
            one = spec("rare", PLAIN.format(rejection=limit))
            _, _, answer = ask(one, "--tail", "--boards", "1e5")
            rare = next(one for one in answer.get("yield", answer)["tail"] if one["limit"] == "rejection")
            q, reach = rare["probability"], (rare["high"] - rare["low"]) / 2
            print(f"beyond {limit}: {q:.3e} ± {reach / q:.2%}, brute force {(1.96 * q / reach) ** 2 / q / drawn_boards:.3g} times")
        boards = 1e9 if long else 1e8
        _, _, answer = ask(path, "--boards", str(boards))
        whole = answer.get("yield", answer)
        missed = next(1 - one["fraction"] for one in whole["by_limit"] if one["limit"] == "rejection")
        sigma = ((half / 1.96) ** 2 + missed / boards) ** 0.5
        print(f"brute force, {boards:.0e} boards: {missed:.4e}, {abs(missed - p) / sigma:.2f} standard errors off")


main()
