"""Which mutants of a cosmic-ray session .ci/mutation tries, and what came of them.

python mutation_sample.py choose SESSION SEED COUNT    leave about COUNT mutants of a new session, skip the rest
python mutation_sample.py report SESSION               table by module and the survivors, as Markdown
"""

from __future__ import annotations

import math
import random
import re
import sys
from collections import defaultdict
from pathlib import Path

from cosmic_ray.mutating import mutate_code
from cosmic_ray.plugins import get_operator
from cosmic_ray.work_db import WorkDB, use_db
from cosmic_ray.work_item import TestOutcome, WorkerOutcome, WorkResult

PHYSICS = Path("sim/paddlebar/physics")
LEAST = 8  # mutants a module, or all that there are
# Left out: bit operators, %, // and **, which no float bears (they would all be killed and flatter the score); `is`; twins of the same change;
# decorators, which say how to compile.
ARITHMETIC = r"(Add|Sub|Mul|Div)"
OPERATORS = re.compile(
    rf"core/(ReplaceBinaryOperator_(Add|Sub|Mul|Div|FloorDiv|Mod|Pow)_{ARITHMETIC}|ReplaceComparisonOperator_\w+_(Eq|NotEq|Lt|LtE|Gt|GtE)|"
    r"ReplaceUnaryOperator_Delete_\w+|NumberReplacer|AddNot|ReplaceAndWithOr|ReplaceOrWithAnd|ReplaceTrueWithFalse|ReplaceFalseWithTrue|"
    r"ReplaceBreakWithContinue|ReplaceContinueWithBreak|ExceptionReplacer|ZeroIterationForLoop)$"
)


def choose(session: str, seed: int, count: int) -> None:
    """Choose by seed alone: of each module as many as the root of the number of its mutants asks, so that short ones are looked at too."""
    with use_db(session, WorkDB.Mode.open) as base:
        of: dict[str, list[tuple[str, int, str]]] = defaultdict(list)
        source = {path: path.read_text(encoding="utf-8") for path in PHYSICS.glob("*.py")}
        rejected = []
        for item in base.work_items:
            (spec,) = item.mutations
            path = Path(spec.module_path)
            line = source[path].splitlines()[spec.start_pos[0] - 1]
            if OPERATORS.match(spec.operator_name) and not line.startswith("@"):
                of[path.stem].append((spec.operator_name, spec.occurrence, item.job_id))
            else:
                rejected.append(item.job_id)
        roots = sum(math.sqrt(len(each)) for each in of.values())
        for module, each in sorted(of.items()):
            each.sort()
            rng = random.Random(f"{seed} {module}")
            rng.shuffle(each)
            wanted = max(LEAST, round(count * math.sqrt(len(each)) / roots))
            kept = 0
            for name, occurrence, job in each:
                if kept < wanted and compiles(
                    mutate_code(source[PHYSICS / f"{module}.py"], get_operator(name)(), occurrence)
                ):
                    kept += 1
                else:
                    rejected.append(job)
            print(f"{module}: {kept} of {len(each)}")
        base.set_multiple_results(
            rejected, WorkResult(worker_outcome=WorkerOutcome.SKIPPED, output="not in the sample")
        )


def compiles(code: str | None) -> bool:
    try:
        compile(code or "?", "mutant", "exec")
    except SyntaxError:
        return False
    return True


def report(session: str) -> None:
    tally: dict[str, list[int]] = defaultdict(
        lambda: [0, 0, 0, 0]
    )  # mutants that there are, killed, timed out, survived
    survivors = []
    with use_db(session, WorkDB.Mode.open) as base:
        for item, result in base.completed_work_items:
            (spec,) = item.mutations
            row = tally[Path(spec.module_path).stem]
            source = Path(spec.module_path).read_text(encoding="utf-8").splitlines()[spec.start_pos[0] - 1]
            row[0] += bool(OPERATORS.match(spec.operator_name) and not source.startswith("@"))
            if result.worker_outcome is WorkerOutcome.SKIPPED:
                continue
            if result.test_outcome is TestOutcome.SURVIVED:
                row[3] += 1
                changed = [line for line in (result.diff or "").splitlines() if re.match(r"[-+](?![-+]{2} )", line)]
                survivors.append((Path(spec.module_path).stem, spec.start_pos[0], spec.operator_name, changed))
            else:
                row[2 if "timeout" in (result.output or "").lower() else 1] += 1
    print("| module | mutants | tried | killed | timed out | survived |\n| --- | --- | --- | --- | --- | --- |")
    for module, (there, killed, late, left) in sorted(tally.items()):
        print(f"| {module} | {there} | {killed + late + left} | {killed} | {late} | {left} |")
    there, killed, late, left = (sum(row[k] for row in tally.values()) for k in range(4))
    tried = killed + late + left
    print(f"| all | {there} | {tried} | {killed} | {late} | {left} |")
    weighted = sum(row[0] * (row[1] + row[2]) / sum(row[1:]) for row in tally.values() if sum(row[1:])) / there
    print(
        f"\n{100 * (killed + late) / tried:.1f} % killed; weighted by the mutants of each module {100 * weighted:.1f} %.\n"
    )
    for module, line, operator, changed in sorted(survivors):
        print(f"{module}:{line} {operator}", *changed, sep="\n    ")


if __name__ == "__main__":
    match sys.argv[1:]:
        case ["choose", session, seed, count]:
            choose(session, int(seed), int(count))
        case ["report", session]:
            report(session)
        case _:
            sys.exit(__doc__)
