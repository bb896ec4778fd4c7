#!/usr/bin/env python3
"""Mutation test of the kernels: makes one operator wrong at a time and looks whether a test notices.

    tests/mutation/run.py --out results.csv [--share 0.05] [--folder hydraulics ...] [--draw 1]

Works in a copy of the repository. All wrong operators are compiled in at once, each behind a switch that the variable
MUTANT sets, so that the kernels are built once and not once for each. A mutant is first held against the tests named
like its file, beside the code and in tests/, then against those of its subject, with --far then against all others but
the slow ones of reading, printing and record: the score is a lower bound. The examples in the documentation are not
run. Places where the compiler takes no switch are left out and counted. Needs nothing but Python 3 and the Rust
toolchain.
"""

import argparse
import concurrent.futures
import csv
import json
import os
import pathlib
import random
import re
import shutil
import subprocess
import threading
import time

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parent.parent
# What the tests of a kernel are called, in part.
NEAR = {
    "hydraulics": ["identities", "reference::hydraulics", "networks", "fluids", "properties"],
    "geometry": ["identities", "reference::geometry", "reference::tube", "shapes", "shortest", "free_hose", "clearance", "centroid",
                 "routes", "trilateration", "simplify", "joined"],
    "rating": ["identities", "reference::rating", "properties"],
    "makeup": ["identities", "reference::makeup", "reference::sheet", "reference::tube", "stories"],
}
# These look at the source text, which has been changed on purpose.
LEFT_OUT = ["house::", "readme::"]
# These take seconds each, and most look at reading, printing or the record.
SLOW = ["book::", "fuzz_twins::", "hostile::", "record::", "signed::", "spread::", "commands::book", "commands::compare",
        "commands::layout", "commands::log", "commands::packaging", "commands::sizes", "commands::steps",
        "commands::the_same_question", "commands::every_command", "units::"]
FAILED = re.compile(r"test (\S+).* \.\.\. FAILED")
NUMBER = re.compile(r"mutant(?:::\w+\(|_assign!\(\w+, )(\d+)")


def run(command, **options):
    return subprocess.run(command, text=True, capture_output=True, **options)


def copy_of_the_tree(work):
    tree = work / "tree"
    shutil.rmtree(tree, ignore_errors=True)
    for name in run(["git", "ls-files"], cwd=ROOT, check=True).stdout.splitlines():
        if (ROOT / name).is_file():
            (tree / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(ROOT / name, tree / name)
    shutil.copy2(HERE / "switch.rs", tree / "src/mutant.rs")
    library = tree / "src/lib.rs"
    library.write_text(library.read_text() + "\n#[doc(hidden)]\npub mod mutant;\n")
    return tree


def kernel_files(tree, folders):
    return sorted(str(path.relative_to(tree)) for folder in folders for path in (tree / "src" / folder).rglob("*.rs")
                  if path.name != "tests.rs")


def listed(work):
    """number -> (place, right, wrong)"""
    rows = (line.split("\t") for line in (work / "list").read_text().splitlines())
    return {int(number): (place, right, wrong) for number, place, right, wrong in rows}


def instrument(tree, work, folders, environment):
    """Puts in the switches, leaves out what does not compile; number -> (place, right, wrong)."""
    tool = run(["cargo", "build", "--quiet", "--release", "--target-dir", str(work / "tool")], cwd=HERE)
    if tool.returncode:
        raise SystemExit(tool.stderr)
    files, skipped = kernel_files(tree, folders), set()
    right = {name: (tree / name).read_text() for name in files}
    while True:
        for name in files:
            (tree / name).write_text(right[name])
        (work / "skip").write_text("\n".join(sorted(skipped)))
        run([str(work / "tool/release/mutation"), str(work / "list"), str(work / "skip"), *files], cwd=tree, check=True)
        places = listed(work)
        check = run(["cargo", "check", "--lib", "--message-format=json"], cwd=tree, env=environment)
        wrong = set()
        for line in check.stdout.splitlines():
            message = json.loads(line).get("message") or {}
            if message.get("level") == "error":
                for span in message["spans"]:
                    wrong |= numbers(span)
        print(f"{len(places)} places, {len(wrong)} of them do not compile", flush=True)
        if check.returncode == 0:
            return places, len(skipped)
        if not wrong:
            raise SystemExit(check.stderr)
        skipped |= {places[number][0] for number in wrong if number in places}


def numbers(span):
    """The switches that a message speaks of: the first in what it marks, or all on its lines."""
    marked = " ".join(text["text"][text["highlight_start"] - 1:text["highlight_end"] - 1] for text in span["text"])
    found = NUMBER.findall(marked)
    if found:
        return {int(found[0])}
    if span.get("expansion"):
        return numbers(span["expansion"]["span"])
    return {int(number) for text in span["text"] for number in NUMBER.findall(text["text"])}


def binaries_of_the_tests(tree, environment):
    """The tests beside the code, and those in tests/."""
    build = run(["cargo", "test", "--no-run", "--lib", "--test", "main", "--message-format=json"], cwd=tree, env=environment)
    found = {}
    for line in build.stdout.splitlines():
        message = json.loads(line)
        if message.get("executable") and message["profile"]["test"]:
            found[message["target"]["kind"][0]] = message["executable"]
    if set(found) != {"lib", "test"}:
        raise SystemExit(build.stderr)
    return found["lib"], found["test"]


def stage(binary, tree, filters, left_out, mutant, limit):
    """The first test that fails; "" when all pass; None when they take too long."""
    skips = [part for name in left_out for part in ("--skip", name)]
    environment = {**os.environ, "MUTANT": str(mutant), "PROPTEST_CASES": "32"}
    process = subprocess.Popen([binary, *filters, *skips], cwd=tree, env=environment,
                               stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, process_group=0)
    late = threading.Timer(limit, os.killpg, (process.pid, 9))
    late.start()
    failed, summed_up = None, False
    for line in process.stdout:
        summed_up |= line.startswith("test result:")
        if failed := FAILED.match(line):
            os.killpg(process.pid, 9)
            break
    late.cancel()
    process.stdout.close()
    status = process.wait()
    if failed:
        return failed.group(1)
    if status == 0:
        return ""
    # Killed by the timer, or fallen over as a whole.
    return None if status == -9 and not summed_up else "the whole run"


def main():
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--out", type=pathlib.Path, required=True)
    options.add_argument("--work", type=pathlib.Path, default=pathlib.Path("/tmp/hosewright-mutation"))
    options.add_argument("--folder", nargs="+", default=sorted(NEAR))
    options.add_argument("--share", type=float, default=0.05)
    options.add_argument("--draw", type=int, default=1)
    options.add_argument("--jobs", type=int, default=1)
    options.add_argument("--far", action="store_true", help="against the other tests too, half a minute for each mutant")
    options.add_argument("--only", type=pathlib.Path, help="only those that survived in this earlier result")
    options.add_argument("--place", nargs="+", default=[""], help="only in files whose path has one of these in it")
    options.add_argument("--again", action="store_true", help="with the build of the last run")
    given = options.parse_args()
    given.work.mkdir(parents=True, exist_ok=True)
    tree = given.work / "tree"
    if not given.again:
        copy_of_the_tree(given.work)
    environment = {**os.environ, "CARGO_TARGET_DIR": str(given.work / "target"), "CARGO_INCREMENTAL": "0"}
    if given.again:
        places = listed(given.work)
    else:
        places, left_out = instrument(tree, given.work, given.folder, environment)
        print(f"{len(places)} mutants, {left_out} places left out", flush=True)
    beside, binary = binaries_of_the_tests(tree, environment)

    limits = {}
    for folder in given.folder:
        for far in (False, True)[: 1 + given.far]:
            filters, skips = ([], LEFT_OUT + SLOW + NEAR[folder]) if far else (NEAR[folder], LEFT_OUT)
            start = time.monotonic()
            failed = stage(binary, tree, filters, skips, 0, 1800)
            if failed != "":
                raise SystemExit(f"without a mutant the tests fail: {failed}")
            limits[folder, far] = 20 + 4 * given.jobs * (time.monotonic() - start)
            print(f"{folder} {'far' if far else 'near'}: {time.monotonic() - start:.1f} s", flush=True)

    def judged(number):
        place, right, wrong = places[number]
        folder = place.split("/")[1]
        own = pathlib.PurePath(place.split(":")[0].split("/")[2]).stem
        stages = [(False, beside, [f"{folder}::"], []), (False, binary, [own], LEFT_OUT),
                  (False, binary, NEAR[folder], [*LEFT_OUT, own]),
                  (True, binary, [], [*LEFT_OUT, *SLOW, *NEAR[folder], own])]
        for far, tests, filters, skips in stages[: 3 + given.far]:
            failed = stage(tests, tree, filters, skips, number, limits[folder, far])
            if failed is None:
                return [folder, place, right, wrong, "too long", ""]
            if failed:
                return [folder, place, right, wrong, "far" if far else "near", failed]
        return [folder, place, right, wrong, "survived", ""]

    if given.only:
        survived = {tuple(row[1:4]) for row in csv.reader(given.only.open(newline="")) if row[4] == "survived"}
        chosen = [number for number, place in sorted(places.items()) if tuple(place) in survived]
    else:
        asked = sorted(number for number, (place, *_) in places.items() if any(part in place for part in given.place))
        chosen = random.Random(given.draw).sample(asked, max(1, round(given.share * len(asked))))
    rows = []
    with given.out.open("w", newline="") as file, concurrent.futures.ThreadPoolExecutor(given.jobs) as pool:
        table = csv.writer(file)
        table.writerow(["folder", "place", "operator", "instead", "noticed", "by"])
        for row in pool.map(judged, chosen):
            rows.append(row)
            table.writerow(row)
            file.flush()
    for folder in given.folder:
        mine = [row for row in rows if row[0] == folder]
        noticed = sum(row[4] != "survived" for row in mine)
        if mine:
            print(f"{folder}: {noticed} of {len(mine)} noticed, {100 * noticed / len(mine):.0f} %")


if __name__ == "__main__":
    main()
