"""Structure-aware damage to a survey in a folder. All of it follows from one random.Random."""

import re
import shutil

SECTIONS = ["survey", "air", "room", "outlet", "rig", "probe", "columns", "plan", "balance"]
QUANTITIES = ["0 m", "-1 m", "1e308 m", "1e-300 m", "999 m", "1 mm", "nan m", "inf m", "1 km",
              "0 %", "1000 %", "-5 %", "50 %", "0 deg", "360 deg", "1e9 deg", "90 deg", "3 g",
              "0 m/s", "1e-9 m/s", "149 m/s", "400 ft/min", "1e6 Pa", "1 Pa", "-300 degC",
              "60 degC", "-40 degC", "1 N", "0 N", "", " ", "m", "5", "1.5", "1,5 m", "1.5 furlong",
              "\u2212" + "3 m", "1.5\u00a0m", "x" * 5000, "\u00e4\u20ac"]
PATHS = ["", ".", "..", "/", "/dev/null", "/dev/zero", "survey.toml", "none.csv", "sweeps",
         "sweeps/../survey.toml", "a" * 300, "a\\b.csv", "\u00e4.csv", "/proc/self/mem"]
CELLS = ["", "NaN", "OL", "---", "-999", "1e308", "-1e308", "1e-320", "0", "-0", "150.1", "149.9",
         "0x10", "1,5", "1.5e0", "1.5d0", '"', '"1"2', "#N/A", "inf", "12:30", "9" * 400, " 7 ",
         "\u22123", "1 m/s", "=A1", "+1+2", "@SUM(A1)", "'=A1", "\x1b[2J", "\u202e3", "true", "\x00", "3.9;",
         "\t"]
SPEED_HEADINGS = ["speed [ft/min]", "speed [km/h]", "speed [kn]", "speed", "speed [deg]", "sped [m/s]",
                  "speed [m/s],speed [m/s]", "speed (m/s)", "speed_m_s", "V", ""]


def pick_line(dice, lines, wanted):
    """The place of a line for which wanted() holds, or None."""
    places = [i for i, line in enumerate(lines) if wanted(line)]
    return dice.choice(places) if places else None


class Survey:
    """The text and the sweeps of one survey, as bytes."""

    def __init__(self, folder):
        self.folder = folder

    def toml(self):
        return (self.folder / "survey.toml").read_bytes()

    def write_toml(self, data):
        (self.folder / "survey.toml").write_bytes(data)

    def sweeps(self):
        return sorted(p for p in (self.folder / "sweeps").rglob("*.csv") if p.is_file())


def toml_lines(change):
    def run(dice, survey):
        lines = survey.toml().decode("utf-8", "surrogateescape").split("\n")
        change(dice, lines)
        survey.write_toml("\n".join(lines).encode("utf-8", "surrogateescape"))
    run.__name__ = change.__name__
    return run


@toml_lines
def delete_toml_line(dice, lines):
    del lines[dice.randrange(len(lines))]


@toml_lines
def double_toml_line(dice, lines):
    lines.insert(dice.randrange(len(lines) + 1), dice.choice(lines))


@toml_lines
def swap_toml_lines(dice, lines):
    a, b = dice.randrange(len(lines)), dice.randrange(len(lines))
    lines[a], lines[b] = lines[b], lines[a]


@toml_lines
def change_quantity(dice, lines):
    at = pick_line(dice, lines, lambda line: '"' in line and "=" in line)
    if at is not None:
        lines[at] = re.sub(r'"[^"]*"', lambda _: '"' + dice.choice(QUANTITIES) + '"', lines[at],
                           count=1)


@toml_lines
def scale_quantity(dice, lines):
    at = pick_line(dice, lines, lambda line: re.search(r'= "[-0-9.]+ ', line))
    if at is not None:
        factor = 10 ** dice.uniform(-4, 4) * dice.choice([1, 1, 1, -1])
        lines[at] = re.sub(r'"([-0-9.]+) ',
                           lambda found: '"%.9g ' % (float(found[1] or 0) * factor), lines[at],
                           count=1) if re.search(r'"-?[0-9]+(\.[0-9]*)? ', lines[at]) else lines[at]


@toml_lines
def change_type(dice, lines):
    at = pick_line(dice, lines, lambda line: "=" in line)
    if at is not None:
        key = lines[at].split("=")[0]
        lines[at] = key + "= " + dice.choice(
            ["1", "-1.5", "true", "[]", "[[]]", "{}", "inf", "nan", "1979-05-27", '["1 g"]', '"""',
             "'", "", '"\\u0000"', '"a', "0x10", "[1, \"2 m\"]", "{ a = 1"])


@toml_lines
def misspell_key(dice, lines):
    at = pick_line(dice, lines, lambda line: "=" in line)
    if at is not None:
        where = dice.randrange(max(1, lines[at].index("=")))
        lines[at] = lines[at][:where] + dice.choice("xe_. =\"[") + lines[at][where + 1:]


@toml_lines
def change_header(dice, lines):
    at = pick_line(dice, lines, lambda line: line.startswith("["))
    if at is not None:
        name = dice.choice(SECTIONS + ["sweep", "sweep.columns", "sweep.x", "a.b.c", "", "\u00e4"])
        lines[at] = dice.choice(["[%s]", "[[%s]]", "[%s", "[ %s ]", "[[%s]"]) % name


@toml_lines
def change_path(dice, lines):
    at = pick_line(dice, lines, lambda line: line.startswith("file"))
    if at is not None:
        others = [line for line in lines if line.startswith("file")]
        lines[at] = dice.choice(['file = "%s"' % dice.choice(PATHS), dice.choice(others)])


@toml_lines
def keep_few_sweeps(dice, lines):
    starts = [i for i, line in enumerate(lines) if line.startswith("[[sweep]]")]
    if len(starts) > 1:
        del lines[starts[dice.randrange(1, len(starts))]:]


def cut_toml(dice, survey):
    text = survey.toml()
    survey.write_toml(text[:dice.randrange(len(text) + 1)])


def flip_toml_bytes(dice, survey):
    text = bytearray(survey.toml())
    for _ in range(dice.choice([1, 1, 4, 40])):
        if text:
            text[dice.randrange(len(text))] = dice.randrange(256)
    survey.write_toml(bytes(text))


def recode_toml(dice, survey):
    text = survey.toml().decode("utf-8", "replace")
    survey.write_toml(dice.choice([
        lambda: text.encode("utf-16"), lambda: b"\xef\xbb\xbf" + text.encode(),
        lambda: text.replace("\n", "\r\n").encode(), lambda: text.replace("\n", "\r").encode(),
        lambda: b"", lambda: text.encode() * 2, lambda: text.encode() + b"\x00" * 10])())


def csv_rows(change):
    """change() gets the rows below the heading as lists of cells."""
    def run(dice, survey):
        files = survey.sweeps()
        if not files:
            return
        some = files if dice.random() < 0.4 else [dice.choice(files)]
        for file in some:
            lines = file.read_bytes().decode("utf-8", "surrogateescape").split("\n")
            start = next((i for i, line in enumerate(lines) if line.startswith("angle")), 0) + 1
            rows = [line.split(",") for line in lines[start:] if line]
            if rows:
                rows = change(dice, rows) or rows
            text = "\n".join(lines[:start] + [",".join(row) for row in rows] + [""])
            file.write_bytes(text.encode("utf-8", "surrogateescape"))
    run.__name__ = change.__name__
    return run


@csv_rows
def change_cells(dice, rows):
    for _ in range(dice.choice([1, 1, 3, 30])):
        row = dice.choice(rows)
        row[dice.randrange(len(row))] = dice.choice(CELLS)


@csv_rows
def fill_column(dice, rows):
    value = dice.choice(CELLS + ["0", "0.01", "3.0", "20", "1e-12"])
    which = dice.randrange(2)
    for row in rows:
        if which < len(row):
            row[which] = value


@csv_rows
def scale_column(dice, rows):
    factor = 10 ** dice.uniform(-8, 4)
    which = dice.randrange(2)
    for row in rows:
        try:
            row[which] = "%.9g" % (float(row[which]) * factor)
        except (ValueError, IndexError):
            pass


@csv_rows
def keep_few_rows(dice, rows):
    return dice.sample(rows, min(len(rows), dice.choice([1, 2, 3, 5])))


@csv_rows
def shuffle_rows(dice, rows):
    dice.shuffle(rows)


@csv_rows
def double_rows(dice, rows):
    return rows + [list(row) for row in dice.choices(rows, k=dice.choice([1, 5, len(rows)]))]


@csv_rows
def ragged_rows(dice, rows):
    for row in dice.sample(rows, min(3, len(rows))):
        if dice.random() < 0.5:
            row.pop()
        else:
            row += ["1"] * dice.choice([1, 5000])


@csv_rows
def noisy_speeds(dice, rows):
    for row in rows:
        if len(row) > 1:
            row[1] = "%.3f" % dice.choice([0, dice.uniform(0, 5), dice.gauss(0, 1)])


def change_heading(dice, survey):
    for file in survey.sweeps()[:dice.choice([1, 50])]:
        file.write_bytes(file.read_bytes().replace(b"speed [m/s]",
                                                   dice.choice(SPEED_HEADINGS).encode()))


def flip_csv_bytes(dice, survey):
    files = survey.sweeps()
    if files:
        file = dice.choice(files)
        data = bytearray(file.read_bytes())
        for _ in range(dice.choice([1, 3, 30])):
            if data:
                data[dice.randrange(len(data))] = dice.randrange(256)
        file.write_bytes(bytes(data))


def recode_csv(dice, survey):
    for file in survey.sweeps()[:dice.choice([1, 50])]:
        text = file.read_bytes().decode("utf-8", "replace")
        file.write_bytes(dice.choice([
            lambda: text.encode("utf-16"), lambda: b"\xef\xbb\xbf" + text.encode(),
            lambda: text.replace("\n", "\r").encode(), lambda: text.replace(",", ";").encode(),
            lambda: text.replace(",", "\t").encode(), lambda: text.replace(",", " ").encode(),
            lambda: text.replace(",", ";").replace(".", ",").encode(), lambda: b"",
            lambda: text.encode() * 2, lambda: text[:dice.randrange(len(text) + 1)].encode(),
            lambda: text.encode() + bytes(range(256)), lambda: text.encode() + b"\x00" * 4096])())


def lose_file(dice, survey):
    files = survey.sweeps()
    if files:
        file = dice.choice(files)
        file.unlink()
        how = dice.randrange(4)
        if how == 1:
            file.mkdir()
        elif how == 2:
            file.symlink_to(file.name)
        elif how == 3:
            file.symlink_to(survey.folder / "survey.toml")


def lose_folder(dice, survey):
    if dice.random() < 0.3:
        shutil.rmtree(survey.folder / "sweeps", ignore_errors=True)


TEXT = [delete_toml_line, double_toml_line, swap_toml_lines, change_quantity, change_quantity,
        scale_quantity, scale_quantity, scale_quantity, change_type, misspell_key, change_header,
        change_path, keep_few_sweeps, cut_toml, flip_toml_bytes, recode_toml]
TABLES = [change_cells, change_cells, fill_column, scale_column, scale_column, keep_few_rows,
          shuffle_rows, double_rows, ragged_rows, noisy_speeds, change_heading, flip_csv_bytes,
          recode_csv, lose_file, lose_folder]
# Leave a survey legal more often than not, so that the numbers behind the readers are met too.
GENTLE = [scale_quantity, keep_few_sweeps, scale_column, keep_few_rows, shuffle_rows, double_rows,
          noisy_speeds, fill_column, change_cells]


def damage(dice, folder):
    """One to three mutations; returns their names."""
    survey = Survey(folder)
    pool = GENTLE if dice.random() < 0.4 else TEXT + TABLES
    chosen = dice.choices(pool, k=dice.choice([1, 1, 2, 3]))
    for mutation in chosen:
        mutation(dice, survey)
    return [mutation.__name__ for mutation in chosen]
