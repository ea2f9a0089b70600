"""A good layout first, season by season; then the solver proves that none costs less, or finds one."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from time import perf_counter

import highspy
import numpy as np
from numpy.typing import NDArray

from plots.rotation.proposals.programme import SMALLEST_STEP, Programme

MOST_AT_ONCE = 3
# So many nodes for a few parts between the others: enough for most, and the same on every machine.
NODES_A_STEP = 60
# The share of the time that may go into looking before the rest goes into the proof: our construction. Going
# once through the parts comes first, for as long as there is time.
LOOKING_SHARE = 0.5
FEASIBLE = 2  # kSolutionStatusFeasible

Columns = NDArray[np.int32]


@dataclass(frozen=True, slots=True)
class Found:
    """The columns' values, the share of the cost that may be too much, and whether it is the least."""

    values: Sequence[float]
    gap: float
    is_proven: bool


def searched(programme: Programme, parts: Sequence[Sequence[int]], seconds: float, seed: int) -> Found | None:
    """Solve a programme that falls into parts with little between them.

    Parameters
    ----------
    programme : Programme
        What is minimised.
    parts : sequence of sequence of int
        Integer columns of each part; with all of them at their least the programme must have an answer.
    seconds : float
        Time limit. [s]
    seed : int
        Seed of the solver and of the order of the steps.

    Returns
    -------
    Found or None
        None when the programme has no answer, or none was found in time.

    Notes
    -----
    With more than two parts, one, two and three at a time are solved between the others as they stand. That
    answer starts the search of the whole.
    """
    ends = perf_counter() + seconds
    steps = _Steps(programme, parts, seed)
    if len(parts) > 2:
        bound = steps.relaxed(ends)
        steps.walk(ends, bound + SMALLEST_STEP)
        if steps.best is not None and steps.cost <= bound + SMALLEST_STEP:
            return Found(steps.best, 0.0, is_proven=True)
    else:
        bound = -float("inf")
    return steps.finish(ends, bound)


def completed(
    programme: Programme, start: Mapping[int, float], seed: int
) -> tuple[list[float], float] | None:
    """Work out the other columns for given integer ones, and the cost; None where that cannot be."""
    columns = np.array(sorted(start), dtype=np.int32)
    values = np.array([start[each] for each in sorted(start)], dtype=np.double)
    solver = programme.solver(seed)
    solver.changeColsBounds(len(columns), columns, values, values)
    solver.run()
    info = solver.getInfo()
    if info.primal_solution_status != FEASIBLE:
        return None
    return list(solver.getSolution().col_value), float(info.objective_function_value)


class _Steps:
    def __init__(self, programme: Programme, parts: Sequence[Sequence[int]], seed: int) -> None:
        self.solver = programme.solver(seed)
        self.parts: list[Columns] = [np.array(part, dtype=np.int32) for part in parts]
        self.lower, self.upper = np.array(programme.lower), np.array(programme.upper)
        self.costs = np.array(programme.costs)
        self.chance = np.random.default_rng(seed)
        self.best: list[float] | None = None
        self.cost = float("inf")

    def relaxed(self, ends: float) -> float:
        """Return what the whole costs at the least when fractions are allowed."""
        self.solver.setOptionValue("solve_relaxation", True)
        self._run(ends)
        self.solver.setOptionValue("solve_relaxation", False)
        is_solved = self.solver.getModelStatus() == highspy.HighsModelStatus.kOptimal
        return float(self.solver.getInfo().objective_function_value) if is_solved else -float("inf")

    def walk(self, ends: float, good_enough: float) -> None:
        """Better each part once, then any two until no two can be bettered, then any three."""
        looked = perf_counter() + LOOKING_SHARE * max(ends - perf_counter(), 0.0)
        for size in range(1, min(MOST_AT_ONCE, len(self.parts) - 1) + 1):
            groups = list(combinations(range(len(self.parts)), size))
            is_bettered = True
            while is_bettered:
                order = self.chance.permutation(len(groups)) if size > 1 else range(len(groups))
                is_bettered = False
                for number in order:
                    if self.cost <= good_enough or perf_counter() >= (ends if size == 1 else looked):
                        return
                    is_bettered |= self._step(groups[number], ends) and size > 1

    def finish(self, ends: float, bound: float) -> Found | None:
        """Search the whole, from the best that is known."""
        self._free(range(len(self.parts)))
        self.solver.setOptionValue("mip_max_nodes", highspy.kHighsIInf)
        self._run(ends)
        info = self.solver.getInfo()
        self._keep_better()
        if self.best is None:
            return None
        is_optimal = self.solver.getModelStatus() == highspy.HighsModelStatus.kOptimal
        if is_optimal and self.cost <= float(info.objective_function_value) + SMALLEST_STEP:
            return Found(self.best, 0.0, is_proven=True)
        least = max(bound, float(info.mip_dual_bound), 0.0)  # nothing is paid for, so no layout is below 0
        return Found(self.best, (self.cost - least) / self.cost if self.cost > 0 else 0.0, is_proven=False)

    def _step(self, parts: Sequence[int], ends: float) -> bool:
        """Solve some parts, the others as they stand; say whether that bettered the whole."""
        self._free(parts)
        self.solver.setOptionValue("mip_max_nodes", NODES_A_STEP)
        self._run(ends)
        return self._keep_better()

    def _free(self, parts: Sequence[int]) -> None:
        for number, columns in enumerate(self.parts):
            low, high = self.lower[columns], self.upper[columns]
            if number not in parts:
                low = high = low if self.best is None else np.round(np.array(self.best)[columns])
            self.solver.changeColsBounds(len(columns), columns, low, high)

    def _run(self, ends: float) -> None:
        self.solver.setOptionValue("time_limit", max(ends - perf_counter(), 0.0))
        if self.best is not None:
            known = highspy.HighsSolution()
            known.col_value = self.best
            self.solver.setSolution(known)
        self.solver.run()
        if self.best is not None and self._is_mixed_up():
            self.solver.clearSolver()
            self.solver.setOptionValue("time_limit", max(ends - perf_counter(), 0.0))
            self.solver.run()

    def _is_mixed_up(self) -> bool:
        """Whether HiGHS names one answer's cost and hands back another's columns.

        HiGHS 1.16 does so now and then where it was given an answer to start from: it names the cost of the
        better one that it found and leaves the columns that it was given.
        """
        info = self.solver.getInfo()
        if info.primal_solution_status != FEASIBLE:
            return False
        cost = float(np.dot(self.costs, self.solver.getSolution().col_value))
        return abs(cost - float(info.objective_function_value)) > SMALLEST_STEP / 10

    def _keep_better(self) -> bool:
        info = self.solver.getInfo()
        if info.primal_solution_status != FEASIBLE:
            return False
        values = list(self.solver.getSolution().col_value)
        cost = float(np.dot(self.costs, values))  # of what is kept, whatever the solver says that it costs
        if cost >= self.cost - SMALLEST_STEP / 10:
            return False
        self.best, self.cost = values, cost
        return True
