import "@fontsource/barlow/latin-400.css";
import "@fontsource/barlow/latin-500.css";
import "@fontsource/barlow/latin-600.css";
import "./style/base.css";
import "./style/frame.css";
import "./style/sheet.css";
import "./style/views.css";
import "./style/things.css";
import "./style/panels.css";
import "./style/buck.css";
import "./style/openings.css";
import "./style/gauges.css";
import "./style/people.css";
import "./style/skin.css";
import "./style/linked.css";
import "./style/pulling.css";
import "./style/agreeing.css";
import "./style/tracing.css";
import "./style/print.css";
import { render, type JSX } from "preact";
import { useEffect } from "preact/hooks";
import { JobSheet } from "./parts/sheet";
import { RouteCard } from "./parts/route";
import { TitleBlock } from "./parts/title";
import { begin, connected, job, outline, said, stepBackOrForth, trouble } from "./state";

function Page(): JSX.Element {
  const question = outline.value?.question;
  const name = job.value?.name;
  useEffect(() => {
    document.title = [question, name, "buckwright"].filter(Boolean).join(" · ");
  }, [question, name]);
  return (
    <>
      <a class="skip" href="#sheet" onClick={toSheet}>
        To the sheet
      </a>
      <TitleBlock />
      {!connected.value && (
        <p class="banner" role="status">
          The page has lost buckwright and tries again. What was changed before is kept.
        </p>
      )}
      {trouble.value && (
        <p class="banner trouble" role="alert">
          <strong>{trouble.value.problem}</strong> {trouble.value.remedy}{" "}
          <button type="button" onClick={() => (trouble.value = null)}>
            Put away
          </button>
        </p>
      )}
      <div class="desk">
        <RouteCard />
        <JobSheet />
      </div>
      <p class="hidden" role="status">
        {said.value}
      </p>
    </>
  );
}

function toSheet(event: Event): void {
  event.preventDefault();
  document.querySelector<HTMLElement>("#sheet h1")?.focus();
}

addEventListener("keydown", (event) => {
  const typing = event.target instanceof HTMLInputElement && event.target.type === "text";
  if (typing || !(event.ctrlKey || event.metaKey) || event.altKey) return;
  const key = event.key.toLowerCase();
  const which = key === "y" || (key === "z" && event.shiftKey) ? "redo" : key === "z" ? "undo" : null;
  if (which === null) return;
  event.preventDefault();
  void stepBackOrForth(which);
});

begin();
render(<Page />, document.getElementById("page") as HTMLElement);
