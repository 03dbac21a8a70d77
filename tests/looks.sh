#!/usr/bin/env bash
# Looks at reports as a browser sets them: on a telephone, on a screen, light and dark, on paper.
# Needs Chromium (Debian: `apt-get install chromium`) and a built `evenkeel`; says so and passes where
# Chromium is missing. `tests/looks.sh DIR` keeps what was rendered in DIR.
set -euo pipefail
cd "$(dirname "$0")/.."
browser=$(command -v chromium || command -v chromium-browser || true)
if [ -z "$browser" ]; then
  echo "looks: skipped, no chromium here"
  exit 0
fi
program=${EVENKEEL:-target/debug/evenkeel}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
keep=${1:-}
[ -z "$keep" ] || mkdir -p "$keep"

browse() {
  timeout 60 "$browser" --headless --no-sandbox --disable-gpu --disable-quic --no-first-run \
    --disable-background-networking --disable-component-update --disable-sync --hide-scrollbars \
    --host-resolver-rules='MAP * ~NOTFOUND' --user-data-dir="$work/profile" --enable-logging=stderr "$@" 2>"$work/log"
}

# One report in a frame of a given width, and beside it what is wrong with it.
frame() {
  printf '<!doctype html><meta charset="utf-8"><iframe id="f" style="border:0" width="%s" height="4000" srcdoc="' "$2"
  sed 's/&/\&amp;/g; s/"/\&quot;/g' "$1"
  printf '"></iframe><pre id="wrong"></pre><script>'
  cat tests/looks.js
  printf 'addEventListener("load", () => { document.getElementById("wrong").textContent = "looked\\n" + looks(document.getElementById("f")).join("\\n"); });</script>'
}

if ! browse --dump-dom about:blank >/dev/null; then
  echo "looks: skipped, chromium does not start here"
  exit 0
fi

failed=0
complain() {
  echo "looks: $*"
  failed=1
}

"$program" new difference >"$work/spec.toml"
hostile='"><script>alert(1)</script><b>&amp;'"'"'\u202eטעינה של וו\u202c '
printf 'title = %s\n' "\"${hostile//\"/\\\"}$(printf 'long%.0s' {1..50})\"" >"$work/hostile.toml"
grep -v '^title' "$work/spec.toml" >>"$work/hostile.toml"
for spec in "$work/hostile.toml" examples/geophone.toml; do
  "$program" design "$spec" --out "$work/$(basename "$spec" .toml).html" || [ $? = 1 ]
done

for report in "$work"/*.html docs/reports/*.html tests/golden/design.html; do
  name=$(basename "$report" .html)
  for width in 360 1280; do
    for scheme in 0 1; do # 0 is dark
      frame "$report" "$width" >"$work/frame.htm"
      browse --blink-settings=preferredColorScheme=$scheme --window-size=1300,1000 --dump-dom "file://$work/frame.htm" >"$work/dom"
      grep -q '<pre id="wrong">looked' "$work/dom" || complain "$name, $width px: not rendered"
      wrong=$(sed -n '/<pre id="wrong">/,/<\/pre>/p' "$work/dom" | sed '1d; s/<\/pre>.*//' | sed '/^$/d')
      [ -z "$wrong" ] || complain "$name, $width px, scheme $scheme: $wrong"
      if grep 'CONSOLE' "$work/log" >&2; then complain "$name, $width px: console"; fi
    done
  done
  # on paper of both sizes; what is closed on the screen is open there
  for paper in letter A4; do
    pdf="$work/$name-$paper.pdf"
    sed "s/@page{/@page{size:$paper;/" "$report" >"$work/paper.html"
    browse --no-pdf-header-footer --print-to-pdf="$pdf" "file://$work/paper.html" >/dev/null
    [ -s "$pdf" ] || complain "$name: no pdf on $paper"
    if command -v pdftotext >/dev/null && grep -q '<details>' "$report"; then
      pdftotext "$pdf" "$work/words"
      grep -q 'By hand and by the network' "$work/words" || complain "$name, $paper: the working stays closed"
    fi
    [ -z "$keep" ] || cp "$report" "$pdf" "$keep/"
  done
done
[ $failed = 0 ] && echo "looks: fine"
exit $failed
