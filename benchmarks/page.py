"""How quick the page is: to open, to follow a finger, to sound, and while the solver works.

Run `python benchmarks/page.py` on an otherwise idle machine; needs Playwright's Python package and Debian's Chromium.
The page is started as a maker starts it, on a copy of the example drum with its lengths found. Times are of the
browser's own clock. A drag is made of pointer events in the page: from each to the change of what is shown on the tip
(the estimate), and to the model's word where the finger rests. Sound: from the press to the moment the browser is
told to start the buffer, and what the browser says of its own output's delay. Without a sound device that delay is
not a speaker's.
"""

from __future__ import annotations

import http.client
import json
import platform
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from playwright.sync_api import Page, sync_playwright

EXAMPLE = Path(__file__).parents[1] / "examples" / "brook" / "drum.toml"
KERFTONE = (sys.executable, "-m", "kerftone")
CHROMIUM = shutil.which("chromium")
MOVES = 60
DRAG = """
async ([note, moves]) => {
  const grip = document.querySelector(`[aria-label="Tip of ${note}"]`);
  const told = () => grip.getAttribute("aria-valuetext");
  const box = grip.getBoundingClientRect();
  const x = box.x + box.width / 2, y = box.y + box.height / 2;
  const send = (kind, dx) => grip.dispatchEvent(new PointerEvent(kind, {
    bubbles: true, pointerId: 1, isPrimary: true, pointerType: "touch", clientX: x + dx, clientY: y }));
  grip.setPointerCapture = () => {};
  const until = (wanted) => new Promise((done) => {
    const begun = performance.now();
    const look = () => {
      if (wanted() || performance.now() - begun > 5000) { watch.disconnect(); done(performance.now() - begun); }
    };
    const watch = new MutationObserver(look);
    watch.observe(grip, { attributes: true });
    look();
  });
  const first = [], model = [];
  send("pointerdown", 0);
  for (let move = 1; move <= moves; move += 1) {
    const before = told();
    send("pointermove", -0.35 * move);
    const begun = performance.now();
    first.push(await until(() => told() !== before));
    await until(() => told().includes(", model"));
    model.push(performance.now() - begun);
    await new Promise((next) => setTimeout(next, 30));
  }
  send("pointermove", 0);
  send("pointerup", 0);
  return [first, model];
}
"""
STRIKE = """
async (count) => {
  const took = [];
  const start = AudioBufferSourceNode.prototype.start;
  let pressed = 0, context = null;
  AudioBufferSourceNode.prototype.start = function (...at) {
    took.push(performance.now() - pressed);
    context = this.context;
    return start.apply(this, at);
  };
  const tongue = document.querySelector(".hear-view .tongue");
  const box = tongue.getBoundingClientRect();
  for (let at = 0; at < count; at += 1) {
    pressed = performance.now();
    tongue.dispatchEvent(new PointerEvent("pointerdown", {
      bubbles: true, pointerType: "touch", pressure: 0.7, clientX: box.x + box.width / 2, clientY: box.y + 10 }));
    await new Promise((next) => setTimeout(next, 40));
  }
  return [took, 1000 * context.baseLatency, 1000 * (context.outputLatency || 0)];
}
"""
OPENED = """
() => {
  const paint = performance.getEntriesByName("first-contentful-paint")[0];
  const all = performance.getEntriesByType("resource").filter((one) => !one.name.includes("/api/"));
  const page = performance.getEntriesByType("navigation")[0];
  const bytes = all.reduce((sum, one) => sum + one.transferSize, page.transferSize);
  return [paint ? paint.startTime : null, bytes, all.length + 1];
}
"""


def ms(times: list[float]) -> str:
    """Median and 95th of a hundred, in ms."""
    return f"p50 {statistics.median(times):.1f}, p95 {sorted(times)[int(0.95 * len(times))]:.1f} ms ({len(times)})"


def resident_mb(process: int) -> dict[str, float]:
    """Memory held by the server and by the solving process, its largest child, in MB."""
    own = Path(f"/proc/{process}")
    ours = [process, *map(int, (own / "task" / str(process) / "children").read_text().split())]
    sizes = [int((Path("/proc") / str(one) / "statm").read_text().split()[1]) * 4096 / 1e6 for one in ours]
    return {"server": sizes[0], "solving process": max(sizes[1:], default=0.0)}


def asked(port: int, address: str, body: object = None) -> tuple[float, Any]:
    line = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    headers = {"Origin": f"http://127.0.0.1:{port}"}
    begun = time.perf_counter()
    line.request("POST" if body is not None else "GET", address, json.dumps(body), headers)
    answer = json.loads(line.getresponse().read())
    return 1e3 * (time.perf_counter() - begun), answer


def working(port: int) -> bool:
    return any(one["state"] == "running" for one in asked(port, "/api/drum/brook?seen=99999")[1]["tasks"])


def opened(page: Page, address: str) -> None:
    begun = time.perf_counter()
    page.goto(f"{address}drum/brook")
    page.get_by_role("slider", name="Tip of D3").wait_for()
    usable = 1e3 * (time.perf_counter() - begun)
    paint, size, files = page.evaluate(OPENED)
    print(f"first paint {paint:.0f} ms, tips there {usable:.0f} ms; {size / 1e3:.0f} kB in {files} files")
    page.get_by_text("Confirmed by a solve").wait_for(timeout=120_000)
    print(f"confirmed by a full solve after {time.perf_counter() - begun:.1f} s")


def walk(page: Page, address: str) -> None:
    """From the list of drums to a saved booklet of six notes in cherry, heard once; each key typed is a press."""
    presses, begun = 0, time.perf_counter()

    def press(role: Any, name: str) -> None:
        nonlocal presses
        page.get_by_role(role, name=name).first.click()
        presses += 1

    page.goto(address)
    press("link", "Begin a new drum")
    page.get_by_label("Wood of the top").click()
    page.keyboard.type("cherry")
    presses += 1 + len("cherry")
    page.locator(".chosen-notes", has_text="D3  F3  G3  A3  C4  D4").wait_for()
    press("button", "Work it out")
    page.wait_for_url("**/drum/**", timeout=600_000)
    press("link", "Hear")
    page.get_by_text("Sounds made from the model").wait_for(timeout=300_000)
    page.locator("body").press("a")
    presses += 1
    press("link", "Box and plan")
    press("button", "Make it: The booklet")
    page.get_by_role("link", name="Save build.pdf").wait_for(timeout=300_000)
    with page.expect_download() as saved:
        press("link", "Save build.pdf")
    assert Path(saved.value.path()).read_bytes().startswith(b"%PDF")
    print(f"from nothing to a saved booklet: {presses} presses, {time.perf_counter() - begun:.0f} s")


def measure(port: int, process: int) -> None:
    address = f"http://127.0.0.1:{port}/"
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": 1280, "height": 800})
        walk(page, address)
        opened(page, address)
        for what in ("idle", "while lengths are found"):
            if what != "idle":
                asked(port, "/api/drum/brook/lengths", {})
            first, model = page.evaluate(DRAG, ["A3", MOVES])
            still = working(port)
            print(f"drag, {what}: estimate {ms(first)}; model {ms(model)}")
            if what != "idle":
                print(f"  (the solver was {'still at work' if still else 'done before the drag was'})")
        while working(port):
            time.sleep(0.2)
        asked(port, "/api/drum/brook/lengths", {})
        while not working(port):
            time.sleep(0.01)
        took = []
        while working(port) and len(took) < 400:
            took.append(asked(port, "/api/drum/brook?seen=99999")[0])
        print(f"other requests while lengths are found: {ms(took)}")
        while working(port):
            time.sleep(0.2)
        page.goto(f"{address}drum/brook#hear")
        page.get_by_text("Sounds made from the model").wait_for(timeout=120_000)
        begun, base, output = page.evaluate(STRIKE, MOVES)
        print(f"press to start of sound: {ms(begun)}; the browser's output adds {base:.1f} + {output:.1f} ms")
        print(", ".join(f"{name} {size:.0f} MB" for name, size in resident_mb(process).items()))
        browser.close()


def main() -> None:
    print(f"{platform.machine()}, {platform.system()}, Python {platform.python_version()}")
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch) / "brook"
        folder.mkdir()
        shutil.copy(EXAMPLE, folder)
        subprocess.run([*KERFTONE, "fit", folder / "drum.toml"], check=True, capture_output=True)
        begun = time.perf_counter()
        words = [*KERFTONE, "open", scratch, "--no-browser"]
        with subprocess.Popen(words, stderr=subprocess.PIPE, text=True) as server:
            assert server.stderr is not None
            port = int(server.stderr.readline().split(":")[2].split("/")[0])
            try:
                asked(port, "/api/choices")
                print(f"answers {time.perf_counter() - begun:.1f} s after it was started")
                measure(port, server.pid)
            finally:
                begun = time.perf_counter()
                server.terminate()
                server.wait()
            print(f"ended {time.perf_counter() - begun:.2f} s after it was told to")


if __name__ == "__main__":
    main()
