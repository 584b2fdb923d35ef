"""Helper of .ci/mutation: which mutants are tried, which tests each one meets, what came of it.

    python mutation.py sample SESSION SEED COUNT     leave COUNT mutants of a new cosmic-ray session, skip the rest
    python mutation.py test                          tests for the module that differs from what is committed; exit 0 if the mutant survives
    python mutation.py report SESSION                table by module and the survivors, as Markdown

Also a plugin of pytest (-p mutation): records that plain Python can read by attribute, so that whole crafts are tested uncompiled.
"""

from __future__ import annotations

import math
import os
import random
import re
import subprocess
import sys
from collections import defaultdict
from pathlib import Path

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
# What checks a module first, when that is not tests/physics/test_<module>.py; everything below follows for whatever survives that.
FIRST = {
    "__init__": "tests/physics/test_cache.py",
    "air": "tests/reference/test_atmosphere.py",
    "skein_limits": "tests/reference/test_rubber.py",
    "mechanism": "tests/physics/test_moving_bodies.py",
    "vectors": "tests/physics/test_bodies.py",
}
REFERENCE = ("atmosphere", "momentum", "vortex_ring", "hover_closed_forms", "rubber", "belt", "tail", "multibody_sympy")
WHOLE = ["tests/physics", *(f"tests/reference/test_{name}.py" for name in REFERENCE)]
# What compares with compiled code, and flights and convergence that take ten seconds and more uncompiled.
APART = "not compiled and not let_out_in_a_run_down and not with_tip_loss and not moves_the_tail and not sideways_move"


def sample(session: str, seed: int, count: int) -> None:
    """Choose by seed alone: of each module as many as the root of the number of its mutants asks, so that short ones are looked at too."""
    from cosmic_ray.mutating import mutate_code
    from cosmic_ray.plugins import get_operator
    from cosmic_ray.work_db import WorkDB, use_db
    from cosmic_ray.work_item import WorkerOutcome, WorkResult

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
        base.set_multiple_results(rejected, WorkResult(worker_outcome=WorkerOutcome.SKIPPED, output="not in the sample"))


def compiles(code: str | None) -> bool:
    try:
        compile(code or "?", "mutant", "exec")
    except SyntaxError:
        return False
    return True


def test() -> int:
    changed = subprocess.run(["git", "diff", "--name-only", "--", str(PHYSICS)], capture_output=True, text=True, check=True)
    stems = [Path(name).stem for name in changed.stdout.split()]
    own = [file for stem in stems if Path(file := FIRST.get(stem, f"tests/physics/test_{stem}.py")).exists()]
    options = ["-x", "-q", "--tb=line", "-p", "no:cacheprovider", "-p", "mutation", "-k", APART, *sys.argv[2:]]
    environment = {**os.environ, "NUMBA_DISABLE_JIT": "1", "PYTHONPATH": str(Path(__file__).parent), "MPLBACKEND": "Agg"}
    for files in (own, WHOLE):
        if files:
            code = subprocess.run([sys.executable, "-m", "pytest", *options, *files], env=environment, check=False).returncode
            if code:
                return code
    return 0


def report(session: str) -> None:
    from cosmic_ray.work_db import WorkDB, use_db
    from cosmic_ray.work_item import TestOutcome, WorkerOutcome

    tally: dict[str, list[int]] = defaultdict(lambda: [0, 0, 0, 0])  # mutants that there are, killed, timed out, survived
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
                changed = [line for line in (result.diff or "").splitlines() if re.match(r"[-+] ", line)]
                survivors.append((Path(spec.module_path).stem, spec.start_pos[0], spec.operator_name, changed))
            else:
                row[2 if result.output == "timeout" else 1] += 1
    print("| module | mutants | tried | killed | timed out | survived |\n| --- | --- | --- | --- | --- | --- |")
    for module, (there, killed, late, left) in sorted(tally.items()):
        print(f"| {module} | {there} | {killed + late + left} | {killed} | {late} | {left} |")
    there, killed, late, left = (sum(row[k] for row in tally.values()) for k in range(4))
    tried = killed + late + left
    print(f"| all | {there} | {tried} | {killed} | {late} | {left} |")
    weighted = sum(row[0] * (row[1] + row[2]) / sum(row[1:]) for row in tally.values() if sum(row[1:])) / there
    print(f"\n{100 * (killed + late) / tried:.1f} % killed; weighted by the mutants of each module {100 * weighted:.1f} %.\n")
    for module, line, operator, changed in sorted(survivors):
        print(f"{module}:{line} {operator}", *changed, sep="\n    ")


def pytest_configure() -> None:
    import numpy as np

    from paddlebar.craft import parameters

    plain = parameters.blank
    parameters.blank = lambda: plain().view(np.recarray)


if __name__ == "__main__":
    match sys.argv[1:]:
        case ["sample", session, seed, count]:
            sample(session, int(seed), int(count))
        case ["test", *_]:
            sys.exit(test())
        case ["report", session]:
            report(session)
        case _:
            sys.exit(__doc__)
