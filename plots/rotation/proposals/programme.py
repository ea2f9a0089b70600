"""Columns and rows as they are added, then handed to HiGHS in one piece."""

from collections.abc import Sequence

import highspy

INFINITE = float(highspy.kHighsInf)
# A difference of cost below a tenth of the smallest price is no difference.
SMALLEST_STEP = 1e-3


class Programme:
    """A mixed-integer programme that is minimised."""

    def __init__(self) -> None:
        self._costs: list[float] = []
        self._lower: list[float] = []
        self._upper: list[float] = []
        self._kinds: list[highspy.HighsVarType] = []
        self._row_lower: list[float] = []
        self._row_upper: list[float] = []
        self._starts: list[int] = [0]
        self._columns: list[int] = []
        self._values: list[float] = []

    def column(self, cost: float, low: float, high: float, *, integer: bool = False) -> int:
        """Add a column and return its number."""
        self._costs.append(cost)
        self._lower.append(low)
        self._upper.append(high)
        self._kinds.append(highspy.HighsVarType.kInteger if integer else highspy.HighsVarType.kContinuous)
        return len(self._costs) - 1

    def row(self, low: float, high: float, terms: Sequence[tuple[int, float]]) -> None:
        """Add ``low <= sum of value * column <= high``."""
        if not terms:
            return
        self._row_lower.append(low)
        self._row_upper.append(high)
        self._columns += [column for column, _ in terms]
        self._values += [value for _, value in terms]
        self._starts.append(len(self._columns))

    @property
    def costs(self) -> Sequence[float]:
        """What one of each column costs."""
        return self._costs

    @property
    def lower(self) -> Sequence[float]:
        """The least that each column may be."""
        return self._lower

    @property
    def upper(self) -> Sequence[float]:
        """The most that each column may be."""
        return self._upper

    def solver(self, seed: int) -> highspy.Highs:
        """Return HiGHS with this programme, silent, on one thread, exact to the smallest step."""
        solver = highspy.Highs()
        for name, value in (
            ("output_flag", False),
            ("random_seed", seed),
            ("threads", 1),
            ("mip_rel_gap", 0.0),
            ("mip_abs_gap", SMALLEST_STEP),
        ):
            solver.setOptionValue(name, value)
        solver.passModel(self._model())
        return solver

    def _model(self) -> highspy.HighsLp:
        model = highspy.HighsLp()
        model.num_col_, model.num_row_ = len(self._costs), len(self._row_lower)
        model.col_cost_, model.col_lower_, model.col_upper_ = self._costs, self._lower, self._upper
        model.row_lower_, model.row_upper_ = self._row_lower, self._row_upper
        model.integrality_ = self._kinds
        model.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        model.a_matrix_.start_ = self._starts
        model.a_matrix_.index_ = self._columns
        model.a_matrix_.value_ = self._values
        return model
