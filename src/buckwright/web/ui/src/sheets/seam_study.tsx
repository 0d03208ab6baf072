// Where seams could go: the search, what each option costs and saves, and taking one.

import { useSignal, type Signal } from "@preact/signals";
import type { JSX } from "preact";
import { useEffect, useState } from "preact/hooks";
import { Findings } from "../parts/findings";
import { Table } from "../parts/table";
import { Length, percent } from "../parts/words";
import { attempt, busy, change, job, startWork, stopWork, system, work } from "../state";
import { getJson } from "../server";
import type { PanelsSheet, SeamOptionRow, SeamRegion, StudyRow } from "../types";
import { formatLength, inUnits } from "../units";
import { TradeOff } from "./tradeoff";

/** The searches made since the job was opened; asked for again whenever a work ends. */
export function useStudies(): Record<string, StudyRow> {
  const [studies, setStudies] = useState<Record<string, StudyRow>>({});
  const ended = work.value.work === "seams" && !busy.value;
  useEffect(() => {
    let wanted = true;
    void attempt(() => getJson<Record<string, StudyRow>>("/api/seams")).then((got) => {
      if (wanted && got) setStudies(got);
    });
    return () => {
      wanted = false;
    };
  }, [ended, job.value?.number]);
  return studies;
}

interface Props {
  content: PanelsSheet;
  region: SeamRegion;
  study: StudyRow | undefined;
  option: Signal<string>;
}

export function SeamStudy({ content, region, study, option }: Props): JSX.Element {
  return (
    <section class="part">
      <h2>Where could the seams go?</h2>
      <Search content={content} region={region} />
      {study && <Options study={study} option={option} region={region} />}
    </section>
  );
}

function Search({ content, region }: { content: PanelsSheet; region: SeamRegion }): JSX.Element {
  const { reach } = content;
  const throat = useSignal<string | null>(null);
  const longest = useSignal<string | null>(null);
  const pieces = useSignal(Math.min(reach.most_pieces, 4));
  const now = work.value;
  const write = (mm: number): string => formatLength(mm, system.value);
  if (busy.value && now.work === "seams") {
    return (
      <div class="searching" role="group" aria-label="The search for seams">
        <label for="searched">
          {now.state === "stopping" ? "Stopping; the best so far is kept" : "Searching on all cores"}
        </label>
        <progress id="searched" max={1} value={now.share} />
        <span class="figures">{Math.round(100 * now.share)} %</span>
        <button type="button" disabled={now.state === "stopping"} onClick={() => void stopWork()}>
          Stop, and keep the best so far
        </button>
      </div>
    );
  }
  const field = (label: string, of: Signal<string | null>, usual: number): JSX.Element => (
    <label class="pick">
      <span>{label}</span>
      <input
        type="text"
        class="short"
        autocomplete="off"
        value={of.value ?? write(usual)}
        onInput={(event) => (of.value = event.currentTarget.value)}
      />
    </label>
  );
  const begin = (event: Event): void => {
    event.preventDefault();
    void startWork("seams", {
      region: region.name,
      throat: throat.value ?? write(reach.throat),
      longest: longest.value ?? write(reach.longest),
      pieces: pieces.value,
    });
  };
  return (
    <form class="tools" onSubmit={begin} aria-label="Search for seams">
      {field("the wheel reaches in", throat, reach.throat)}
      {field("longest panel that can be held", longest, reach.longest)}
      <label class="pick">
        <span>pieces at most</span>
        <select
          value={String(pieces.value)}
          onChange={(event) => (pieces.value = Number(event.currentTarget.value))}
        >
          {[2, 3, 4, 5, 6, 8].map((count) => (
            <option key={count} value={String(count)}>
              {count}
            </option>
          ))}
        </select>
      </label>
      <button type="submit" class="main" disabled={busy.value}>
        Search for seams
      </button>
    </form>
  );
}

function Options(props: { study: StudyRow; option: Signal<string>; region: SeamRegion }): JSX.Element {
  const { study, option, region } = props;
  const shown = study.options.find((one) => one.name === option.value) ??
    study.options.find((one) => one.name === study.chosen)!;
  return (
    <>
      <p class="take">
        <strong>Take {study.chosen}.</strong> {inUnits(study.why, system.value)}
      </p>
      <div class="pair">
        <TradeOff study={study} shown={shown.name} choose={(name) => (option.value = name)} />
        <One option={shown} region={region.name} />
      </div>
      <div class="part">
        <Table
          caption={`Options for ${study.region}, ${study.tried} pieces laid flat`}
          still
          rows={study.options}
          name={(row) => row.name}
          head="Option"
          columns={[
            { head: "pieces", cell: (row) => row.pieces.length },
            { head: "peak strain", cell: (row) => `${(100 * Math.expm1(row.peak)).toFixed(1)} %` },
            { head: "weld", cell: (row) => <Length mm={Math.round(row.weld)} /> },
            { head: "in reach", words: true, cell: (row) => yes(row.within_reach) },
            { head: "on the sheet", words: true, cell: (row) => yes(row.on_sheet) },
            { head: "metal takes it", words: true, cell: (row) => yes(row.takes_it) },
          ]}
        />
      </div>
      {study.findings.length > 0 && <Findings findings={study.findings} />}
    </>
  );
}

const yes = (is: boolean): string => (is ? "yes" : "no");

function One({ option, region }: { option: SeamOptionRow; region: string }): JSX.Element {
  return (
    <div class="option">
      <h3>
        Option {option.name}: {option.words}
      </h3>
      <ul>
        {option.seams.map((seam) => (
          <li key={seam.name}>
            {seam.name}, <Length mm={Math.round(seam.length)} />: {inUnits(seam.why, system.value)}
          </li>
        ))}
      </ul>
      <ul>
        {option.pieces.map((piece) => (
          <li key={piece.name}>
            {piece.name}: <Length mm={Math.round(piece.size[0])} /> ×{" "}
            <Length mm={Math.round(piece.size[1])} /> flat, at most {percent(Math.expm1(piece.peak))}
          </li>
        ))}
      </ul>
      <button
        type="button"
        class="main"
        onClick={() => void change({ what: "accept seams", region, option: option.name })}
      >
        Make option {option.name} the job's
      </button>
    </div>
  );
}
