"""Lots paid together: weighted, the lowest of them, a joint by its area; by published recipes."""

from collections.abc import Mapping
from dataclasses import replace

import pytest

from matbook.engine.acceptance import Composite, pay_composite
from matbook.lots.together import Together, together
from matbook.lots.together_steps import together_steps
from tests.lots.mat import WITH_LOTS, Mat
from tests.shift.site import at

JOINTS = """
[[lots]]
id = "joint"
name = "Joint density"
lift = "binder"
characteristic = "joint density"
unit = "%"
size = "100 t"
sublots = 2
schedule = "corps-joint-density"
[[composites]]
id = "whole"
name = "Mat and joint"
recipe = "corps-mat-and-joint"
of = { mat = "mat", joint = "joint" }
joint = "joint"
band = "3.0 m"
price = "90.00"
clause = "8.4"
[[lots]]
"""
MAT = (
    WITH_LOTS.replace('size = "1000 t"', 'size = "100 t"', 1)
    .replace('lower = "92.0"\n', "", 1)
    .replace('"florida-percent"', '"corps-mat-density"', 1)
    .replace('price = "100.00"\n', "", 1)
)


def with_joints(plan: str = MAT) -> Mat:
    return Mat(plan.replace("[[lots]]", JOINTS, 1))


def result(mat: Mat, lot: str, test: str, value: str, sublot: str, minute: float = 200) -> None:
    name = f"{lot}/{test}/{sublot}"
    drawn = {"draw": mat.place(sublot, lot).id}
    mat.site.write("sample", {"sample": name, "of": "mix", **drawn}, minute, place=at(120))
    body = {"test": test, "value": value, "sample": name, "lot": lot, "purpose": "acceptance"}
    mat.site.write("test-result", body, minute + 1, by="tess")


def only(mat: Mat) -> Together:
    (one,) = together(mat.work().plan, mat.lots().lots)
    return one


def said(mat: Mat, one: Together) -> Mapping[str, Mapping[str, str]]:
    return {step.code: step.says for step in together_steps(mat.work().plan, one)}


def test_the_lowest_of_mat_and_joint_by_its_area() -> None:
    """UFGS 02749, from memory: mat 93.2 -> 98.3; joint 91.5 -> 97.3, weighted by its area.

    Here 105 t lie 250 m along a lane 3.50 m wide; a band of 3.0 m is 3/3.5 of it.
    """
    mat = with_joints()
    mat.site.lay(["20.00 t"] * 5)
    mat.cores(93.2, 93.2, 93.2)
    for sublot in ("1", "2"):
        result(mat, "joint-1", "joint density", "91.5 %", sublot)
    one = only(mat)
    weighted = 1 - (1 - 0.973) * 250 * 3.0 / (250 * 3.5)
    assert one.figures["part.mat"].value == 0.983
    assert one.figures["joint"].value == round(weighted, 4)
    assert one.figures["composite"].value == round(weighted, 4)
    assert one.figures["money"].value == pytest.approx((round(weighted, 4) - 1) * 100 * 90)
    assert "money.laid" not in one.figures  # the whole lot is laid
    assert (one.missing, one.rejected, one.complete) == ((), (), False)
    steps = said(mat, one)
    joint = {name: float(steps["joint"][name]) for name in ("factor", "joint", "band", "area")}
    by_hand = 1 - (1 - joint["factor"]) * joint["joint"] * joint["band"] / joint["area"]
    assert float(steps["joint"]["weighted"]) == pytest.approx(by_hand, abs=1e-4)
    assert steps["composite.lowest"]["factor"] == f"{one.figures['composite'].value:.4f}"


def test_without_a_price_it_moves_no_money() -> None:
    mat = Mat(MAT.replace("[[lots]]", JOINTS.replace('price = "90.00"\n', ""), 1))
    mat.site.lay(["20.00 t"] * 5)
    mat.cores(93.2)
    result(mat, "joint-1", "joint density", "91.5 %", "1")
    assert only(mat).figures.keys() == {"part.mat", "part.joint", "joint", "composite"}


def test_the_published_example_in_feet() -> None:
    """UFGS 02749 (from memory): 2000 ft of joint x 10 ft in 30,000 ft2, 97.3 -> 98.2."""
    plan = MAT.replace('units = "metric"', 'units = "us"')
    plan = plan.replace('width = "3.50 m"', 'width = "4.572 m"')  # 15 ft: 2000 ft are 30,000 ft2
    mat = Mat(plan.replace("[[lots]]", JOINTS.replace('"3.0 m"', '"10 ft"'), 1))
    mat.site.lay(["20.00 t"] * 4, step=152.4)
    mat.cores(93.2, 93.2, 93.2)
    for sublot in ("1", "2"):
        result(mat, "joint-1", "joint density", "91.5 %", sublot)
    one = only(mat)
    assert one.figures["composite"].value == pytest.approx(0.982, abs=5e-4)
    steps = said(mat, one)["joint"]
    assert (steps["joint"], steps["area"], steps["unit"]) == ("2\u202f000.0", "30\u202f000", "ft")


def test_what_waits_says_for_what() -> None:
    mat = with_joints()
    mat.cores(93.2, 93.2, 93.2)
    one = only(mat)
    assert one.missing == ("joint-1",)
    assert "composite" not in one.figures
    result(mat, "joint-1", "joint density", "91.5 %", "1")
    one = only(mat)  # no load tells the joint's area
    assert one.missing == ()
    assert "joint" not in one.figures
    assert said(mat, one).keys() == {"part"}


def test_a_part_that_its_schedule_rejects_is_named() -> None:
    mat = with_joints()
    mat.site.lay(["20.00 t"] * 5)
    mat.cores(93.2, 93.2, 93.2)
    result(mat, "joint-1", "joint density", "89.0 %", "1")
    assert only(mat).rejected == ("joint-1",)


def test_cores_of_a_joint_stand_on_the_maximum_gravity_of_the_same_lot_of_mat() -> None:
    density = JOINTS.replace('characteristic = "joint density"', 'characteristic = "density"')
    mat = Mat(MAT.replace("[[lots]]", density, 1))
    mat.core("1", "2.300", lot="joint-1")
    (before,) = mat.lots().named("joint-1").results  # type: ignore[union-attr]
    mat.maximum("2.510 1", lot="mat-1")
    (after,) = mat.lots().named("joint-1").results  # type: ignore[union-attr]
    assert (before.provisional, after.provisional) == (True, False)
    assert before.value is not None
    assert after.value is not None
    assert (before.value.value, after.value.value) == (92.0, round(100 * 2.3 / 2.51, 1))


FLORIDA = {
    # FDOT 334-8: 0.350 density + 0.250 voids + 0.250 AC + 0.100 #200 + 0.050 #8
    "density": 0.350, "air-voids": 0.250, "asphalt-content": 0.250,
    "passing-200": 0.100, "passing-8": 0.050,
}  # fmt: skip


def all_of_florida() -> Mat:
    """Three results of each of Florida's five characteristics."""
    rows, of = [], []
    for name in FLORIDA:
        rows.append(
            f'[[lots]]\nid = "{name}"\nname = "{name}"\nlift = "binder"\nunit = "%"\n'
            f'characteristic = "{name}"\nsublots = 4\nlower = "4.0"\nsize = "500 t"\n'
            'schedule = "florida-percent"\n'
        )
        of.append(f'"{name}" = "{name}"')
    recipe = (
        '[[composites]]\nid = "cpf"\nname = "All"\nrecipe = "florida-composite"\n'
        'price = "80.00"\n'
        f"of = {{ {', '.join(of)} }}\n"
    )
    plan = MAT[: MAT.index("[[lots]]")] + "".join(rows) + recipe + MAT[MAT.index("[[plants]]") :]
    mat = Mat(plan)
    sets = {
        "density": (93.0, 92.5, 93.4),
        "air-voids": (4.4, 4.2, 3.9),
        "asphalt-content": (5.0, 5.2, 4.9),
        "passing-200": (4.0, 3.9, 4.4),
        "passing-8": (4.6, 4.1, 4.2),
    }
    for name, values in sets.items():
        for number, value in enumerate(values, 1):
            result(mat, f"{name}-1", name, f"{value} %", str(number))
    return mat


def test_several_characteristics_by_weight() -> None:
    """FDOT 334-8, as read: the weights above on factors of (55 + 0.5 PWL) / 100."""
    mat = all_of_florida()
    one = only(mat)
    factors = {name: one.figures[f"part.{name}"].value for name in FLORIDA}
    assert min(factors.values()) < max(factors.values())
    expected = sum(FLORIDA[name] * factors[name] for name in FLORIDA)
    assert one.figures["composite"].value == pytest.approx(expected, abs=1e-12)
    money = (round(expected, 4) - 1) * 500 * 80
    assert one.figures["money"].value == pytest.approx(money, abs=1e-6)
    assert "money.laid" not in one.figures  # no load tells
    assert said(mat, one)["composite.weighted"]["weights"] == "1"


def capped(name: str) -> Composite:
    """A recipe as an owner's own file may have it, with a cap."""
    return replace(pay_composite(name), cap=0.9)


def test_a_recipe_with_a_cap(monkeypatch: pytest.MonkeyPatch) -> None:
    mat = all_of_florida()
    monkeypatch.setattr("matbook.lots.together.pay_composite", capped)
    one = only(mat)
    assert one.figures["composite"].value == 0.9
    assert said(mat, one)["pay.cap"] == {"cap": "0.900"}


def test_a_part_whose_results_are_too_few() -> None:
    mat = all_of_florida()
    result(mat, "density-2", "density", "93.0 %", "1")
    first, second = together(mat.work().plan, mat.lots().lots)
    assert first.missing == ()
    assert second.missing == tuple(f"{name}-2" for name in FLORIDA)
