#!/usr/bin/env bash
# Searches guided by coverage, on a stable toolchain; needs a C++ compiler (Debian: apt-get install g++).
# Usage: fuzz/search.sh TARGET SECONDS [CORPUS]; TARGET is readers or rows. Ends with 0 where nothing was found;
# what was found is left in fuzz/target/found.
set -euo pipefail
target=${1:?readers or rows} seconds=${2:?seconds}
corpus=${3:-}
cd "$(dirname "$0")"
corpus=${corpus:-target/corpus/$target}
mkdir -p "$corpus" target/found
# Counters at every edge and comparison, as the searching engine reads them; assertions and overflow checks on.
flags=(--cfg fuzzing --cfg fuzzing_libfuzzer -Ccodegen-units=1 -Cdebug-assertions -Coverflow-checks
  -Cpasses=sancov-module -Cllvm-args=-sanitizer-coverage-level=4 -Cllvm-args=-sanitizer-coverage-inline-8bit-counters
  -Cllvm-args=-sanitizer-coverage-pc-table -Cllvm-args=-sanitizer-coverage-trace-compares)
host=$(rustc -vV | sed -n 's/^host: //p')
# A target triple keeps the counters out of build scripts.
CARGO_TARGET_DIR=target/search RUSTFLAGS="${flags[*]}" cargo test --release --target "$host" --test "$target" --no-run
program=$(find "target/search/$host/release/deps" -name "$target-*" -type f -executable -printf '%T@ %p\n' | sort -n | tail -n 1 | cut -d' ' -f2)
BOLERO_LIBFUZZER_ARGS="$corpus -max_total_time=$seconds -len_control=0 -max_len=200 -timeout=20 -rss_limit_mb=4096 -artifact_prefix=target/found/$target- -print_final_stats=1" \
  BOLERO_TEST_NAME="$target" "$program"
