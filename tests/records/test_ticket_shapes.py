"""Ticket files of many shapes, as invented plants might write them."""

import io
from datetime import date, datetime, time

import pytest
import xlsxwriter

from matbook.errors import FileRefused, Refused
from matbook.records.moments import ALLOWED
from matbook.records.sheets import read_sheet
from matbook.records.tickets import tickets
from tests.records.making import DAY, NIGHT, NOW, bodies, halifax, plan, reasons, take


def test_a_comma_file_with_units_in_its_headings() -> None:
    found = take(
        "Ticket No,Truck,Gross (t),Tare (t),Net (t),Mix,Temp (°C),Loaded at\n"
        "41007,12,37.00,14.60,22.40,ac11,152,2026-05-12 07:41\n"
        "41008,13,36.50,14.30,22.20,ac11,149,2026-05-12 07:49\n"
    )
    assert found.sheet.how == "utf-8, comma-separated"
    assert bodies(found)[0] == {
        "ticket": "41007", "truck": "12", "gross": "37.00 t", "tare": "14.60 t", "net": "22.40 t",
        "mix": "ac11", "temp": "152 degC", "loaded": "2026-05-12T07:41:00-03:00",
    }  # fmt: skip
    assert [draft.at for draft in found.drafts][1] == "2026-05-12T07:49:00-03:00"
    assert not found.refused


def test_a_german_file_with_decimal_commas_titles_and_a_total() -> None:
    found = take(
        "Mischwerk Nord;;;;;;;\r\nTagesliste;;;;;;;\r\n\r\n"
        "Lieferschein-Nr.;Kennzeichen;Brutto kg;Tara kg;Netto kg;Sorte;"
        "Temperatur °C;Datum;Uhrzeit\r\n"
        "41007;ABC 12;37.000;14.600;22.400;MD-11-07;152;12.05.2026;7:41\r\n"
        "41008;ABC 13;36.500;14.300;22.200;AC 11 Surface;149,5;12.05.2026;7:49\r\n"
        ";Summe;;;44.600;;;;\r\n".encode("cp1252")
    )
    assert found.sheet.how == "cp1252, semicolon-separated"
    assert [body["net"] for body in bodies(found)] == ["22400 kg", "22200 kg"]
    assert bodies(found)[1]["temp"] == "149.5 degC"
    assert {body["mix"] for body in bodies(found)} == {"ac11"}
    assert reasons(found) == [(7, "row", "it looks like a total")]
    assert found.decimal_mark == ","
    assert found.date_order == "day/month/year"


def test_a_us_file_with_pounds_thousands_commas_and_halves_of_the_day() -> None:
    found = take(
        "Tkt #\tTruck #\tGross Wt (lbs)\tTare Wt (lbs)\tNet Tons\tTemp\tTicket Date\tTime Out\n"
        '0041007\t12\t"75,540"\t"28,900"\t23.32\t305\t05/12/2026\t7:41 AM\n'
        '0041008\t13\t"74,100"\t"28,100"\t23.00\t300 F\t05/12/2026\t12:05 PM\n',
        of=plan("us", "ton"),
    )
    assert [body["gross"] for body in bodies(found)] == ["75540 lb", "74100 lb"]
    assert [body["net"] for body in bodies(found)] == ["23.32 ton", "23.00 ton"]
    assert [body["temp"] for body in bodies(found)] == ["305 degF", "300 degF"]
    assert bodies(found)[1]["loaded"] == "2026-05-12T12:05:00-03:00"
    assert bodies(found)[0]["ticket"] == "0041007"
    assert found.date_order == "month/day/year"


def test_a_french_file_in_utf_16_with_spaces_between_thousands() -> None:
    found = take(
        "N° de bon;Camion;Poids net (kg);Formule;Date et heure\n"
        "41007;12;22 400;ac11;12/05/2026 07h41\n"
        "41008;13;22\u202f200;ac11;12/05/2026 07h49\n".encode("utf-16")
    )
    assert found.sheet.how == "utf-16, semicolon-separated"
    assert [body["net"] for body in bodies(found)] == ["22400 kg", "22200 kg"]


def test_a_spanish_file_with_bars() -> None:
    found = take(
        "Nº Boleta|Placa|Peso Neto (ton)|Mezcla|Fecha|Hora de salida|Estado\n"
        "41007|XK-12|22,40|ac11|12/05/2026|07:41|Entregado\n"
        "41008|XK-13|22,20|ac11|12/05/2026|07:49|Anulado\n"
    )
    assert [draft.body["decision"] for draft in found.drafts] == ["taken", "void"]
    assert [body["net"] for body in bodies(found)] == ["22.40 t", "22.20 t"]


def test_the_plan_names_headings_that_nobody_could_guess() -> None:
    columns = {"ticket": "Seq", "net": "Kolli kg", "loaded": "Wann", "mix": ""}
    found = take(
        "Seq;Kolli kg;Wann;Sorte;LKW\n41007;22400;2026-05-12 07:41;ac11;12\n",
        of=plan(columns=columns),
    )
    assert bodies(found) == [
        {"ticket": "41007", "truck": "12", "net": "22400 kg", "loaded": "2026-05-12T07:41:00-03:00"}
    ]
    assert [found.mapping[field].how for field in ("ticket", "truck", "net")] == [
        "plan", "best", "plan",
    ]  # fmt: skip


def test_a_heading_of_the_plan_that_is_not_there() -> None:
    with pytest.raises(FileRefused, match=r"“Net t” is the net mass.*“Ticket No”, “Weight”"):
        take("Ticket No,Weight\n1,2\n", of=plan(columns={"net": "Net t"}))


@pytest.mark.parametrize(
    ("headings", "said"),
    [
        ("Ticket,Net t,Net lb", r"could be the net mass: “Net t”, “Net lb”.*net = \"Net t\""),
        ("Ticket,Truck,Temp", r"No heading could be the net mass, nor gross and tare"),
        ("Truck,Net", r"No heading could be the ticket number.*numbers = \"none\""),
        ("Truck,Gross", r"net mass, nor gross and tare"),
        ("Foo,Bar", r"no row looks like headings"),
    ],
)
def test_headings_that_leave_something_open_are_refused(headings: str, said: str) -> None:
    with pytest.raises(FileRefused, match=said):
        take(f"{headings}\n1,2,3\n")


def test_gross_and_tare_are_enough_and_a_plant_may_have_no_numbers() -> None:
    found = take("Truck,Gross,Tare\n12,37.00,14.60\n,37.0,14\n", of=plan(numbers="none"))
    assert bodies(found) == [{"truck": "12", "gross": "37.00 t", "tare": "14.60 t"}]
    assert reasons(found) == [(3, "row", "nothing but a mass is in it, so it looks like a total")]
    assert found.drafts[0].flags == ("no-time",)
    assert found.drafts[0].at == "2026-05-12T12:00:00-03:00"


def test_a_plant_that_is_not_in_the_plan() -> None:
    sheet = read_sheet(b"Ticket,Net\n1,22.4\n", "x.csv")
    with pytest.raises(Refused, match=r"“south”; it must be a plant of the plan \(north\)"):
        tickets(sheet, plan(), "south", DAY, halifax, NOW)


def test_marks_of_void_tickets_wherever_they_stand() -> None:
    found = take(
        "Ticket,Net,Voided,Note\n"
        "1,22.4,,\n2,22.4,Y,\n3,22.4,no,VOID\n4 VOID,22.4,n/a,\nVOID 5,22.4,rejected,reprint\n"
        "6,,x,\n7,,,\n8,22.4,maybe,\n9 A,22.4,,void if wet\nVOID VOID,22.4,,\n"
    )
    assert [(d.body["ticket"], d.body["decision"], d.flags[1:]) for d in found.drafts] == [
        ("1", "taken", ()),
        ("2", "void", ()),
        ("3", "void", ("void-mark",)),
        ("4", "void", ("void-mark",)),
        ("5", "void", ("reprint", "void-mark")),
        ("6", "void", ()),
        ("9 A", "taken", ()),
        ("VOID", "void", ("void-mark", "void-mark")),
    ]
    assert found.drafts[4].body["form"] == "reprint"
    assert reasons(found) == [
        (8, "net", "it must be given, or gross and tare"),
        (9, "void", "it must be blank or a word such as OK, void or rejected"),
    ]


def test_statuses() -> None:
    found = take("Ticket,Net,Status\n1,22.4,Posted\n2,22.4,Void\n3,22.4,Rejected\n4,22.4,yes\n")
    assert [draft.body["decision"] for draft in found.drafts] == ["taken", "void", "turned away"]
    assert reasons(found) == [
        (5, "status", "it must be blank or a word such as OK, void or rejected")
    ]


def test_rows_that_are_no_loads() -> None:
    found = take(
        "Ticket,Truck,Net,Time\n"
        "41007,12,22.4,7:41\n"
        "Ticket,Truck,Net,Time\n"
        "41008,12,22,40,7:49\n"
        '41009,12,"22.4,7:55\n'
        ",12,22.4,8:05\n"
        "41010,12,22.4,8:61\n"
        "41011,12,x,8:10\n"
        "41012,12,22.4 m,8:12\n"
        "41013,12,22.4 t,8:14\n"
        "41007,12,22.4,7:41\n"
        "4101\ufffd,12,22.4,8:15\n"
        f"{'4' * 25},12,22.4,8:16\n"
        "Grand total,,89.6,\n"
        ",,89.6,\n"
        "41017,12\n"
    )
    assert [draft.line for draft in found.drafts] == [2, 10]
    assert reasons(found) == [
        (3, "row", "it only says the headings again"),
        (4, "row", "there are more cells than headings; a cell with the delimiter in it needs "
         "quotation marks"),
        (5, "row", "its quotation marks do not pair, or a cell is far too long"),
        (6, "ticket", "it must be given, as this plant numbers its tickets"),
        (7, "loaded", ALLOWED),
        (8, "net", "it must be a number, with at most one decimal mark"),
        (9, "net", "it must be a mass, such as 22.40 t"),
        (11, "row", "it says the same as line 2"),
        (12, "ticket", "a character in it is damaged, or doesn't print"),
        (13, "ticket", "it must be text of 1 to 24 characters"),
        (14, "row", "it looks like a total"),
        (15, "row", "nothing but a mass is in it, so it looks like a total"),
        (16, "row", "it is shorter than all others: the file is cut"),
    ]  # fmt: skip


def test_rows_may_leave_out_cells_at_their_end() -> None:
    found = take("Ticket,Net,Truck,Note\n1,22.4\n2,22.4,12\n3,22.4\n")
    assert [body.get("truck") for body in bodies(found)] == [None, "12", None]


def test_the_same_file_twice_gives_the_same_ids_and_another_shift_gives_others() -> None:
    data = "Ticket,Net\n1,22.4\n2,22.6\n"
    ids = [draft.id for draft in take(data).drafts]
    assert ids == [draft.id for draft in take(data).drafts]
    assert len({*ids, *(draft.id for draft in take(data, NIGHT).drafts)}) == 4


def test_a_ticket_of_tomorrow_is_flagged() -> None:
    sheet = read_sheet(b"Ticket,Net,Time\n1,22.4,07:41\n", "x.csv")
    now = datetime.fromisoformat("2026-05-12T10:40:00+00:00")
    found = tickets(sheet, plan(), "north", DAY, halifax, now)
    assert found.drafts[0].flags == ("future",)


def test_a_workbook_with_a_merged_title_and_typed_cells() -> None:
    packed = io.BytesIO()
    with xlsxwriter.Workbook(packed, {"in_memory": True}) as book:
        days = book.add_format({"num_format": "dd/mm/yyyy"})
        clocks = book.add_format({"num_format": "hh:mm"})
        hidden = book.add_worksheet("Setup")
        hidden.write_row(0, 0, ["Ticket", "Truck", "Gross", "Tare", "Net", "Mix"])
        sheet = book.add_worksheet("May 12")
        hidden.hide()
        sheet.activate()
        sheet.set_first_sheet()
        sheet.merge_range(0, 0, 0, 5, "Tickets of the day")
        sheet.write_row(2, 0, ["Ticket", "Truck", "Net (t)", "Date", "Time", "Voided", ""])
        for line, (net, voided) in enumerate([(22.4, False), (22.375, True)], start=3):
            sheet.write_row(line, 0, [41004 + line, 12, net])
            sheet.write_datetime(line, 3, date(2026, 5, 12), days)
            sheet.write_datetime(line, 4, time(7, 38 + line), clocks)
            sheet.write_boolean(line, 5, voided)
        sheet.write_string(5, 0, "41009")
        sheet.write_formula(5, 2, "=B1", None, 21.9)
        sheet.write_datetime(5, 3, datetime(2026, 5, 12), days)
        sheet.write_datetime(5, 4, time(7, 55), clocks)
        sheet.write_string(5, 8, "beside the table")
        sheet.write_string(6, 0, "Total")
        sheet.write_formula(6, 2, "=SUM(C4:C6)", None, 66.675)
    found = take(packed.getvalue(), name="tickets.xlsx")
    assert found.sheet.how == "workbook, sheet “May 12”"
    assert bodies(found) == [
        {"ticket": "41007", "truck": "12", "net": "22.4 t", "loaded": "2026-05-12T07:41:00-03:00"},
        {"ticket": "41008", "truck": "12", "net": "22.375 t", "loaded": "2026-05-12T07:42:00-03:00",
         "decision": "void"},
        {"ticket": "41009", "net": "21.9 t", "loaded": "2026-05-12T07:55:00-03:00"},
    ]  # fmt: skip
    assert reasons(found) == [(7, "row", "it looks like a total")]


def test_cells_protected_from_spreadsheets_are_read_plain() -> None:
    found = take('Ticket,Truck,Net\n"=""0041007""",\'-12,22.4\n')
    assert bodies(found) == [{"ticket": "0041007", "truck": "-12", "net": "22.4 t"}]
