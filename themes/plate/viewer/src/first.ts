// The little script that comes with the page: once the stage is in sight, it asks for the script that
// draws and for the first model side by side, so that neither keeps words and still waiting.

import { ask, saving } from "./bytes";
import { offline } from "./offline";
import { readPage, type Page } from "./page";

/** Models below this size come by themselves, bytes. */
const LIGHT = 3_000_000;

/** Whether a model can be drawn here. A browser has few drawing contexts: this one is given back at once. */
function able(): boolean {
  const gl = document.createElement("canvas").getContext("webgl2");
  gl?.getExtension("WEBGL_lose_context")?.loseContext();
  return gl !== null;
}

function draw(page: Page): void {
  const body = page.bodies.find((b) => b.figure.offsetParent !== null) ?? page.bodies[0];
  const model = body?.levels[0]?.href;
  if (model && able()) ask(model);
  const script = document.createElement("script");
  script.addEventListener("error", () => {
    const said = document.createElement("p");
    said.className = "living";
    said.setAttribute("role", "status");
    said.textContent = page.words("model_failed");
    body?.figure.append(said);
  });
  script.src = page.stage.dataset["stage"] ?? "";
  document.head.append(script);
}

function begin(page: Page): void {
  const first = page.bodies[0];
  if (!first) return;
  if (!saving() && (first.levels[0]?.bytes ?? 0) < LIGHT) {
    const watch = new IntersectionObserver((entries) => {
      if (!entries.some((e) => e.isIntersecting)) return;
      watch.disconnect();
      // The still and the words come first.
      setTimeout(() => draw(page), 200);
    });
    watch.observe(page.stage);
    return;
  }
  const button = document.createElement("button");
  button.type = "button";
  button.className = "ask";
  button.textContent = page.words("turn_model", { size: first.size });
  button.addEventListener("click", () => {
    button.remove();
    draw(page);
  });
  page.stage.append(button);
}

const page = readPage(document);
if (page) {
  begin(page);
  // What the visitor came for is loaded first.
  if (document.readyState === "complete") void offline(page);
  else addEventListener("load", () => void offline(page));
}
