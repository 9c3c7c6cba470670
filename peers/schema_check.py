"""Judges the program's JSON Schemas with a validator of another hand.

The schema must be one (its own meta-schema), every good file must pass, and every broken one must
be refused: by the schema, and by the program too.
"""

import argparse
import json
import pathlib
import subprocess
import sys
import tomllib

import jsonschema

ROOT = pathlib.Path(__file__).resolve().parent.parent
EXAMPLES = ROOT / "crates/lastbolt/tests/data/examples"

GARAGE = """
[person.Wren]
may = ["gas", "refrigerant"]
[wrench."small"]
range = "5-25 N·m"
class = "II A"
step = 0.5
length = "210 mm"
x-bought = 2019
[wrench.large]
range = [20, 200]
unit = "N·m"
[adapter."crow foot 19"]
length = 45
[tool.puller]
where = "wall, left"
[minutes]
screw = 0.5
"cable tie" = 0.2
[display]
decimal = "comma"
date = "day.month.year"
units = "lbf·ft"
currency = "crowns"
language = "any"
"""

# What is wrong, the sort of file, its text.
BROKEN = [
    ("an unknown key", "machine", '[part.a]\nwaiz = []\n'),
    ("an unknown table", "machine", '[parts.a]\n'),
    ("text for minutes", "machine", '[spot.a]\nsetup = "2 min"\n'),
    ("minutes below nothing", "machine", "[spot.a]\nsetup = -1\n"),
    ("minutes that are too fine", "machine", "[spot.a]\nsetup = 0.0001\n"),
    ("more minutes than there may be", "machine", "[spot.a]\nsetup = 10001\n"),
    ("no end of a condition", "machine", "[prep.a]\nwait = 3\n"),
    ("a condition that ends by hand", "machine", '[prep.a]\nback = "by hand"\n'),
    ("nothing joined", "machine", '[tie.a]\nkind = "screw"\n'),
    ("half a screw", "machine", '[part.b]\n[tie.a]\njoins = ["b"]\ncount = 0.5\n'),
    ("a chance that is none", "machine", "[part.a]\nways = [{ breaks = 2 }]\n"),
    ("one way without brackets", "machine", "[part.a]\nways = { minutes = 1 }\n"),
    ("a text for a list", "machine", 'fixed = "block"\n'),
    ("an empty name", "machine", 'fixed = [" "]\n'),
    ("after another look", "machine", '[part.a]\nafter = "look"\n'),
    ("three names in a pair", "machine", '[between]\n"a / b / c" = 1\n'),
    ("a fluid without a name", "machine", '[prep.a]\nback = []\nfluid = { litres = 1 }\n'),
    ("no machine", "job", '[job]\nrenew = ["a"]\n'),
    ("an unknown key of a job", "job", 'machine_file = "m.toml"\n[job]\nrenw = []\n'),
    ("an unknown table of a garage", "garage", "[people.Wren]\n[minutes]\n"),
    ("text for usual minutes", "garage", '[minutes]\nscrew = "half"\n'),
    ("a person that is no table", "garage", "[person]\nWren = 3\n"),
]


def schema_of(program, which):
    asked = subprocess.run([program, "schema", which], capture_output=True, check=True)
    return json.loads(asked.stdout)


def good_files():
    for path in sorted(EXAMPLES.glob("*.toml")):
        yield path.name, "machine", path.read_text(encoding="utf-8")
    for path in sorted((ROOT / "demo").glob("*/*.toml")):
        yield str(path.relative_to(ROOT)), path.stem, path.read_text(encoding="utf-8")
    document = (ROOT / "docs/machine-file.md").read_text(encoding="utf-8")
    yield "docs/machine-file.md", "machine", document.split("```toml\n")[1].split("```")[0]
    yield "a garage file", "garage", GARAGE


def says_no(program, text):
    """Whether the program finds an error in a file; one by itself, where names do not count."""
    done = subprocess.run(
        [program, "check", "--json", "/dev/stdin"], input=text.encode(), capture_output=True
    )
    return done.returncode == 1


def main():
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--lastbolt", required=True)
    program = options.parse_args().lastbolt
    validators = {}
    passed = failed = 0

    def judge(name, right):
        nonlocal passed, failed
        if right:
            passed += 1
        else:
            failed += 1
            print(f"WRONG {name}")

    for which in ["machine", "job", "garage"]:
        schema = schema_of(program, which)
        try:
            jsonschema.Draft202012Validator.check_schema(schema)
            judge(which, schema["$schema"].endswith("2020-12/schema"))
        except jsonschema.SchemaError as error:
            judge(f"{which}: {error.message}", False)
        validators[which] = jsonschema.Draft202012Validator(schema)
    good = list(good_files())
    judge("there are files to try", len(good) > 20)
    for name, which, text in good:
        errors = list(validators[which].iter_errors(tomllib.loads(text)))
        judge(f"{name}: {[e.message[:200] for e in errors[:3]]}", not errors)
    for what, which, text in BROKEN:
        judge(f"schema takes {what}", not validators[which].is_valid(tomllib.loads(text)))
        judge(f"program takes {what}", says_no(program, text))
    # The wrong twin: a schema that lets everything pass refuses none of them.
    loose = jsonschema.Draft202012Validator({})
    judge("the twin takes all", all(loose.is_valid(tomllib.loads(t)) for _, _, t in BROKEN))
    print(f"schemas: {passed} passed, {failed} failed")
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()
