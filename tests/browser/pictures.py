"""Takes the pictures of the README out of a real book: pictures.py PROGRAM BROWSER."""

import pathlib
import subprocess
import sys
import tempfile

from playwright.sync_api import sync_playwright

ROOT = pathlib.Path(__file__).resolve().parents[2]
PLAN = ROOT / "examples/01-amphibian/corrected.toml"
# Name, what is shown, which of them, width of the window and of the picture.
PICTURES = [("card", "article.card", 16, 760, 725), ("view", "#views figure", 0, 1000, 830)]
# Leaves one element on the page, a card without its back.
ALONE = """([what, which]) => {
  const one = document.querySelectorAll(what)[which];
  one.querySelectorAll('.back').forEach((back) => back.remove());
  const main = document.createElement('main');
  main.append(one);
  document.body.replaceChildren(main);
}"""


def main():
    program, browser = sys.argv[1:]
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        book = pathlib.Path(folder) / "book.html"
        subprocess.run([program, "book", str(PLAN), "--out", str(book)], check=True)
        chromium = playwright.chromium.launch(executable_path=browser, args=["--no-sandbox"])
        for name, what, which, window, width in PICTURES:
            page = chromium.new_page(viewport={"width": window, "height": 1000}, device_scale_factor=1.25)
            page.goto(book.as_uri())
            page.evaluate(ALONE, [what, which])
            box = page.locator("main > *").bounding_box()
            clip = {"x": 0, "y": 0, "width": width, "height": box["y"] + box["height"] + 10}
            page.screenshot(path=str(ROOT / f"docs/pictures/{name}.png"), full_page=True, clip=clip)


if __name__ == "__main__":
    main()
