#!/bin/sh
# A whole `design` as a process against /bin/true: medians of 21 runs each, in one run.
#   cargo build --release && sh benches/process.sh SPEC…
set -eu
program=${EVENKEEL:-target/release/evenkeel}
median() {
    for _ in 1 2 3 4 5 6 7 8 9 10 11 12 13 14 15 16 17 18 19 20 21; do
        start=$(date +%s%N)
        "$@" >/dev/null || test $? -eq 1
        echo $(($(date +%s%N) - start))
    done | sort -n | sed -n 11p
}
none=$(median /bin/true)
echo "/bin/true: $((none / 1000)) µs"
for spec in "$@"; do
    took=$(median "$program" design "$spec")
    echo "$spec: $((took / 1000)) µs, $((took / none)) times /bin/true"
done
