#!/usr/bin/env bash
# Times `halfpot solve` beside general mixed-integer solvers on the same
# problems: one core, whole process, both sides to a proven optimum. halfpot
# proves all levels of its objective, the others the cost alone.
#
#   CGO_ENABLED=0 go build -o /tmp/halfpot ./cmd/halfpot
#   optimize/side_by_side.sh --halfpot /tmp/halfpot desk force club
#   optimize/side_by_side.sh --halfpot /tmp/halfpot ../shared/data/orlib/scp4*.txt
#   optimize/side_by_side.sh --halfpot /tmp/halfpot --clock cpu --limit 60 ../shared/data/purchase/club-*.json
#
# Arguments are sizes of the generator (tiny, desk, force, club, studio, or with
# a kind, such as club-plain and force-workshop), problems in halfpot's JSON, or
# OR-Library set covering files (scp*.txt).
#   --halfpot FILE  the program (default: halfpot on PATH)
#   --seeds N       problems of each size, seeds 1 to N (default 5)
#   --limit S       seconds for each run, by the clock on the wall (default 300)
#   --repeat N      runs of each that took under a second; the median counts (default 3)
#   --core N        the core to run on (default 1)
#   --clock C       wall, or cpu (user and system) for a machine that does
#                   other things too (default wall)
#   --only LIST     general solvers to run, such as cbc,highs (default: all found; none for halfpot alone)
#   --forms LIST    forms of the LP file that they get (default plain,strong)
#
# Compared are whichever of glpsol and cbc (Debian: glpk-utils, coinor-cbc) and
# highs (a program on PATH, as highs-native, and npm's, WebAssembly, through node,
# which is slower than the program) are here. On a set covering file they get the
# covering problem itself, which suits them better. "starts" is what a solver
# takes on a problem of one variable. The ratio of an instance is the best general
# time, over solvers and forms, over halfpot's.
#
# A line says: size, instance, solver, form, seconds, and then
#   optimal COST     proven, by halfpot on all levels
#   cost COST        the cost is proven, a later level is not
#   stopped PLAN AT-LEAST    the limit came first; - where there is none or the solver doesn't say
#   failed WHY       the solver ended by itself without an answer, as for want of memory
set -euo pipefail
export LC_ALL=C

halfpot=halfpot seeds=5 limit=300 repeat=3 core=1 clock=wall only=glpsol,cbc,highs forms=plain,strong
what=()
while [ $# -gt 0 ]; do
  case $1 in
    --halfpot) halfpot=$2; shift 2 ;;
    --seeds) seeds=$2; shift 2 ;;
    --limit) limit=$2; shift 2 ;;
    --repeat) repeat=$2; shift 2 ;;
    --core) core=$2; shift 2 ;;
    --clock) clock=$2; shift 2 ;;
    --only) only=$2; shift 2 ;;
    --forms) forms=$2; shift 2 ;;
    --help) sed -n '2,/^set -/p' "$0" | sed '$d; s/^# \{0,1\}//'; exit 0 ;;
    -*) echo "$0: unknown option $1, expected --halfpot, --seeds, --limit, --repeat, --core, --clock, --only or --forms" >&2; exit 2 ;;
    *) what+=("$1"); shift ;;
  esac
done
[ ${#what[@]} -gt 0 ] || { echo "$0: expected sizes or files, such as: desk force" >&2; exit 2; }
halfpot=$(command -v "$halfpot") || { echo "$0: no program halfpot; build it and say --halfpot FILE" >&2; exit 2; }
halfpot=$(realpath "$halfpot")

work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
results=$work/results # lines: size instance solver form seconds state value

# --- the general solvers that are here ---------------------------------------

solvers=()
wanted() { case ",$only," in *",$1,"*) return 0 ;; esac; return 1; }
for s in glpsol cbc; do
  wanted $s || continue
  if command -v $s >/dev/null; then solvers+=("$s"); else echo "$s is not here: left out" >&2; fi
done
if wanted highs; then
  if command -v highs >/dev/null; then
    solvers+=(highs-native)
    printf 'mip_rel_gap = 0\nmip_abs_gap = 0.5\nthreads = 1\nlog_to_console = false\n' >"$work/highs.options"
  fi
  if command -v node >/dev/null && command -v npm >/dev/null && (cd "$work" && npm install --silent --no-fund --no-audit highs >/dev/null 2>&1); then
    solvers+=(highs)
    cat >"$work/highs.cjs" <<'JS'
const fs = require('fs');
const [file, seconds] = process.argv.slice(2);
require('highs')().then(highs => {
  const m = highs.createModel({format: 'lp', data: fs.readFileSync(file, 'utf8')});
  m.options.set({time_limit: Number(seconds), mip_rel_gap: 0, mip_abs_gap: 0.5, output_flag: false});
  m.run();
  const status = m.getModelStatus(), is = highs.constants.modelStatus;
  const finite = v => Number.isFinite(v) && Math.abs(v) < 1e30 ? v.toFixed(1) : '-';
  const known = {optimal: 'optimal', infeasible: 'infeasible', unboundedOrInfeasible: 'infeasible', timeLimit: 'stopped'}; // no cost is below 0
  const name = Object.keys(is).find(n => is[n] === status), word = known[name] ?? 'failed ' + name;
  const end = {optimal: ' ' + m.getObjectiveValue(), stopped: ' ' + finite(m.info.get('objective_function_value')) + ' ' + finite(m.info.get('mip_dual_bound'))};
  fs.writeSync(1, word + (end[word] ?? '') + '\n');
}).catch(e => {fs.writeSync(2, 'error: ' + (e.message || e) + '\n'); process.exit(1);});
JS
  else
    echo "npm's highs needs node, npm and the package highs: left out" >&2
  fi
fi

# --- running one of them -------------------------------------------------------

# run_* is what is timed, read_* then prints how it ended; see the top.
run_glpsol() {
  glpsol --cuts --pcost --tmlim "$limit" --lp "$1" -o "$work/out" >"$work/log" 2>&1 ||
    glpsol --tmlim "$limit" --lp "$1" -o "$work/out" >"$work/log" 2>&1 || true # GLPK 5.0 aborts on some files with cuts
}
read_glpsol() {
  if grep -q 'INTEGER OPTIMAL' "$work/out"; then awk '/^Objective:/ {print "optimal", $4}' "$work/out"
  elif grep -qE 'HAS NO (PRIMAL|INTEGER) FEASIBLE' "$work/log" || grep -q 'INTEGER EMPTY' "$work/out"; then echo infeasible
  elif grep -q 'TIME LIMIT EXCEEDED' "$work/log"; then
    awk '/^Status:/ {any = /INTEGER NON-OPTIMAL/} /^Objective:/ {v = $4} END {print "stopped", any ? v : "-", "-"}' "$work/out"
  else why; fi
}
run_cbc() { cbc "$1" ratioGap 0 allowableGap 0 seconds "$limit" solve >"$work/log" 2>&1 || true; }
read_cbc() {
  if grep -q 'Result - Optimal solution found' "$work/log"; then awk '/^Objective value:/ {print "optimal", $3}' "$work/log"
  elif grep -qi 'infeasible' "$work/log"; then echo infeasible
  elif grep -q 'Result - Stopped' "$work/log"; then
    awk '/^No feasible solution/ {none = 1} /^Objective value:/ {v = $3} /^Lower bound:/ {b = $3}
      END {print "stopped", (none || v == "" ? "-" : v), (b == "" ? "-" : b)}' "$work/log"
  else why; fi
}
run_highs-native() { highs --options_file "$work/highs.options" --time_limit "$limit" --solution_file "$work/out" "$1" >"$work/log" 2>&1 || true; }
read_highs-native() {
  if grep -qx 'Optimal' "$work/out"; then awk '/^Objective/ {print "optimal", $2}' "$work/out"
  elif grep -qx 'Infeasible' "$work/out"; then echo infeasible
  elif grep -qx 'Time limit reached' "$work/out"; then awk '/^Objective/ {v = $2} END {print "stopped", (v == "" ? "-" : v), "-"}' "$work/out"
  else why; fi
}
run_highs() { node "$work/highs.cjs" "$1" "$limit" >"$work/out" 2>"$work/log" || true; }
read_highs() { if [ -s "$work/out" ]; then cat "$work/out"; else why; fi; }
run_halfpot() { "$halfpot" solve "$1" --threads 1 --time-limit "${limit}s" >"$work/out" 2>"$work/log" || true; }
read_halfpot() {
  awk -F'"' 'function number(key) {return match($0, "\"" key "\": *-?[0-9]+") ? substr($0, RSTART + length(key) + 3, RLENGTH - length(key) - 3) + 0 : "-"}
    /^  "status"/ {status = $4} /^  "totals"/ {value = number("objective"); bound = number("bound")} /^  "proven_levels"/ {proven = number("proven_levels")}
    END {
      if (status == "optimal") print "optimal", value
      else if (status == "infeasible") print "infeasible"
      else if (proven > 0) print "cost", value
      else if (status != "") print "stopped", (value == "" ? "-" : value), (bound == "" ? "-" : bound)
      else exit 1
    }' "$work/out" || why
}
# why says what a solver that gave no answer said last about it.
why() { echo "failed $({ grep -m1 -iE 'error|abort|memory|signal|unreachable|exception' "$work/log" || tail -n 1 "$work/log"; } | tr -s ' \t' ' ' | cut -c1-100)"; }

# timed SIZE INSTANCE SOLVER FORM FILE: the median of the runs goes to results.
timed() {
  local spent=() started took answer TIMEFORMAT='%3U %3S'
  while [ ${#spent[@]} -lt "$repeat" ]; do
    : >"$work/out"; : >"$work/log"
    started=${EPOCHREALTIME/./}
    { time "run_$3" "$5"; } 2>"$work/cpu"
    took=$((${EPOCHREALTIME/./} - started))
    if [ "$clock" = cpu ]; then took=$(awk '{print int(($1 + $2) * 1e6)}' "$work/cpu"); fi
    answer=$("read_$3")
    spent+=("$took")
    [ "$took" -lt 1000000 ] || break
  done
  took=$(printf '%s\n' "${spent[@]}" | sort -n | sed -n "$(((${#spent[@]} + 1) / 2))p")
  echo "$1 $2 $3 $4 $(awk "BEGIN {printf \"%.4f\", $took / 1e6}") $answer" | tee -a "$results"
}

# --- the problems ----------------------------------------------------------------

# A set covering file as a purchase problem (rows are needs, each of a paint of
# its own; columns are sets of pots, which keeps large files short), and as the
# covering problem itself.
covering_json() {
  awk 'BEGIN {RS = "[ \t\r\n]+"} $0 == "" {next} {v[n++] = $0} END {
    m = v[0]; c = v[1]; at = 2 + c
    for (i = 1; i <= m; i++) for (k = v[at++]; k > 0; k--) {j = v[at++]; holds[j] = holds[j] (holds[j] == "" ? "" : ",") "{\"paint\":\"" i "\",\"ul\":1}"}
    printf "{\"currency\": \"EUR\", \"shops\": [{\"id\": \"s\", \"delivery\": [{\"from\": 0, \"fee\": 0}]}]"
    printf ", \"paints\": ["; for (i = 1; i <= m; i++) printf "%s{\"id\": \"%d\"}", (i > 1 ? "," : ""), i
    printf "],\n\"products\": ["
    for (j = 1; j <= c; j++) if (j in holds) printf "%s{\"id\": \"c%d\", \"contents\": [%s]}\n", (some++ ? "," : ""), j, holds[j]
    printf "], \"offers\": ["
    for (j = 1; j <= c; j++) if (j in holds) printf "%s{\"product\": \"c%d\", \"shop\": \"s\", \"price\": %d}", (more++ ? "," : ""), j, v[1 + j]
    printf "],\n\"needs\": ["
    for (i = 1; i <= m; i++) printf "%s{\"id\": \"r%d\", \"options\": [{\"id\": \"%d\", \"uses\": [{\"paint\": \"%d\", \"ul\": 1}]}]}", (i > 1 ? "," : ""), i, i, i
    print "]}"
  }' "$1"
}
covering_lp() {
  awk 'BEGIN {RS = "[ \t\r\n]+"} $0 == "" {next} {v[n++] = $0} END {
    m = v[0]; c = v[1]; at = 2
    printf "Minimize\n obj:"; for (j = 1; j <= c; j++) printf " + %d x%d%s", v[at++], j, (j % 10 ? "" : "\n")
    print "\nSubject To"
    for (i = 1; i <= m; i++) {
      printf " r%d:", i; k = v[at++]
      for (t = 1; t <= k; t++) printf " + x%d%s", v[at++], (t % 10 ? "" : "\n")
      print " >= 1"
    }
    print "Binary"; for (j = 1; j <= c; j++) print " x" j
    print "End"
  }' "$1"
}

compare() { # SIZE INSTANCE JSON [LP]
  local s form
  timed "$1" "$2" halfpot - "$3"
  if [ $# -eq 4 ]; then
    for s in "${solvers[@]}"; do timed "$1" "$2" "$s" covering "$4"; done
    return
  fi
  [ ${#solvers[@]} -gt 0 ] || return 0
  rm -f "$work"/*.lp
  "$halfpot" solve "$3" --only-lp --lp "$work/plain.lp" --strong-lp "$work/strong.lp"
  [ -s "$work/plain.lp" ] && [ -s "$work/strong.lp" ] || { echo "$0: halfpot wrote no LP files for $3" >&2; exit 1; }
  for s in "${solvers[@]}"; do
    for form in ${forms//,/ }; do timed "$1" "$2" "$s" "$form" "$work/$form.lp"; done
  done
}

echo "machine: $(awk -F': ' '/^model name/ {print $2; exit}' /proc/cpuinfo), $(nproc) cores, one used; $clock clock; load $(cut -d' ' -f1-3 /proc/loadavg); $(date -u +%F)"
echo "halfpot: $("$halfpot" --version | sed -n 1p)"
for s in "${solvers[@]}"; do
  case $s in
    glpsol) glpsol --version | sed -n 1p ;;
    cbc) cbc -quit 2>/dev/null | awk '/^Version:/ {print "cbc " $2}' ;;
    highs-native) highs --version | sed -n 1p ;;
    highs) sed -n "s/^ *\"version\": \"\(.*\)\".*/highs (npm, WebAssembly) \1, node $(node --version)/p" "$work/node_modules/highs/package.json" ;;
  esac
done
echo
taskset -pc "$core" $$ >/dev/null # for this shell and all it starts

printf 'Minimize\n obj: x\nSubject To\n c: x >= 1.5\nGeneral\n x\nEnd\n' >"$work/one.lp"
for s in "${solvers[@]}"; do timed starts one "$s" - "$work/one.lp"; done

for w in "${what[@]}"; do
  case $w in
    tiny | desk | force | club | studio | *-plain | *-workshop)
      kind=${w#"${w%%-*}"} # -plain, -workshop or nothing
      for seed in $(seq "$seeds"); do
        "$halfpot" generate "${w%%-*}" ${kind:+"-$kind"} --seed "$seed" >"$work/problem.json"
        compare "$w" "$w-$seed" "$work/problem.json"
      done
      ;;
    *.json) compare files "$(basename "$w" .json)" "$w" ;;
    *.txt)
      name=$(basename "$w" .txt)
      covering_json "$w" >"$work/problem.json"
      covering_lp "$w" >"$work/covering.lp"
      case $name in scpnr?*) set=${name:0:6} ;; *) set=${name:0:4} ;; esac # scp41 to scp410 are set scp4
      compare "$set" "$name" "$work/problem.json" "$work/covering.lp"
      ;;
    *) echo "$0: $w is neither a size nor a .json or .txt file" >&2; exit 2 ;;
  esac
done

# --- the summary -------------------------------------------------------------------

echo
awk -v limit="$limit" '
  function median(list, n,   i, j, t, a) {
    for (i = 1; i <= n; i++) a[i] = list[i]
    for (i = 2; i <= n; i++) for (j = i; j > 1 && a[j] < a[j-1]; j--) {t = a[j]; a[j] = a[j-1]; a[j-1] = t}
    least = a[1]; most = a[n]
    return n % 2 ? a[(n+1)/2] : (a[n/2] + a[n/2+1]) / 2
  }
  {
    if ($1 == "starts") next
    size = $1; name = $2; who = $3; seconds = $5; state = $6
    if (!(size in sizes)) {sizes[size]; order[++nsizes] = size}
    if (!((size, name) in seen)) {seen[size, name]; list[size, ++count[size]] = name}
    proof = state == "optimal" || state == "cost" || state == "infeasible"
    if (!proof) seconds = limit
    if (proof) {
      value = state != "infeasible" ? int($7 + ($7 < 0 ? -0.5 : 0.5)) : "none"
      if ((name in answer) && answer[name] != value) {print "DISAGREEMENT on " name ": " who " " $4 " says " value ", others " answer[name]; bad = 1}
      answer[name] = value
    }
    if (who == "halfpot") {own[name] = seconds; ownproof[name] = proof; next}
    if (!(who in whos)) {whos[who]; worder[++nwhos] = who}
    if (!((name, who) in best) || seconds < best[name, who]) {best[name, who] = seconds; bestproof[name, who] = proof}
  }
  END {
    print "size      n  solver    median s     least      most  proven"
    for (i = 1; i <= nsizes; i++) {
      size = order[i]; n = count[size]; proven = 0; sum = 0
      for (k = 1; k <= n; k++) {v[k] = own[list[size, k]]; sum += v[k]; proven += ownproof[list[size, k]]}
      m = median(v, n)
      printf "%-8s %2d  %-8s %9.4f %9.4f %9.4f  %d of %d, sum %.3f s\n", size, n, "halfpot", m, least, most, proven, n, sum
      for (w = 1; w <= nwhos; w++) {
        proven = 0; sum = 0
        for (k = 1; k <= n; k++) {v[k] = best[list[size, k], worder[w]]; sum += v[k]; proven += bestproof[list[size, k], worder[w]]}
        m = median(v, n)
        printf "%-8s %2s  %-8s %9.4f %9.4f %9.4f  %d of %d, sum %.3f s\n", "", "", worder[w], m, least, most, proven, n, sum
      }
      open = 0
      for (k = 1; k <= n; k++) {
        name = list[size, k]; fastest = -1; done = 0
        for (w = 1; w <= nwhos; w++) {
          if (fastest < 0 || best[name, worder[w]] < fastest) {fastest = best[name, worder[w]]}
          done += bestproof[name, worder[w]]
        }
        open += !done
        v[k] = fastest / own[name]
      }
      if (nwhos > 0) {
        m = median(v, n)
        printf "%-8s %2s  ratio    %9.1f %9.1f %9.1f  fastest general solver over halfpot%s\n\n", "", "", m, least, most, open ? "; on " open " no general solver finished, so more than that" : ""
      }
    }
    exit bad
  }' "$results"
