// Room between things, who else would fit, what the width is made of, sizes, and cautions.

import type { JSX } from "preact";
import { Table } from "../parts/table";
import { Length } from "../parts/words";
import { system } from "../state";
import type { PackageRow, PeopleSheet } from "../types";
import { formatLength } from "../units";

export function Package({ pack }: { pack: PackageRow }): JSX.Element {
  return (
    <>
      <Table
        caption="Room between things"
        rows={pack.clearances}
        name={(row) => row.name}
        head="Of"
        columns={[
          { head: "there", cell: (row) => <Length mm={row.value} /> },
          { head: "wanted", cell: (row) => <Length mm={row.wanted} /> },
          { head: "measured", words: true, cell: (row) => row.words },
        ]}
      />
      <Table
        caption="What they see"
        still
        rows={pack.sights}
        name={(row) => `${row.person} ${row.name}`}
        head="Who, and where"
        columns={[
          { head: "above level", cell: (row) => `${row.angle.toFixed(1)}°` },
          { head: "in words", words: true, cell: (row) => row.words },
        ]}
      />
      {pack.posts.length > 0 && (
        <Table
          caption="What the screen posts hide at eye height"
          still
          rows={pack.posts}
          name={(row) => `${row.person}, ${row.post} post`}
          head="Whose, and which"
          columns={[
            { head: "left eye", cell: (row) => `${row.hidden[0].toFixed(1)}°` },
            { head: "right eye", cell: (row) => `${row.hidden[1].toFixed(1)}°` },
            { head: "both", cell: (row) => `${row.both.toFixed(1)}°` },
          ]}
        />
      )}
      <Pairs pack={pack} />
      <Budget pack={pack} />
      <DoorFacts pack={pack} />
      <Table
        caption="Measures of the cab, named as in SAE J1100"
        still
        rows={pack.rooms}
        name={(row) => `${row.code} ${row.name}`}
        head="Measure"
        columns={[
          { head: "is", cell: (row) => <Length mm={row.value} /> },
          { head: "taken", words: true, cell: (row) => row.words },
        ]}
      />
    </>
  );
}

function Pairs({ pack }: { pack: PackageRow }): JSX.Element | null {
  const crews = [...new Set(pack.pairs.map((one) => one.crew))];
  const places = [...new Set(pack.pairs.map((one) => one.at))];
  if (crews.length === 0) return null;
  const share = (crew: string, at: string): string => {
    const one = pack.pairs.find((pair) => pair.crew === crew && pair.at === at);
    return one ? `${(100 * one.share).toFixed(1)} %` : "";
  };
  return (
    <Table
      caption="How many random pairs fit abreast, with the same clothing and doors"
      still
      rows={crews}
      name={(crew) => crew}
      head="Pair"
      columns={places.map((at) => ({ head: at, cell: (crew: string) => share(crew, at) }))}
    />
  );
}

function Budget({ pack }: { pack: PackageRow }): JSX.Element | null {
  const budget = pack.budget;
  if (!budget) return null;
  const rows: [string, number][] = [...budget.parts, ["over the metal", budget.total]];
  return (
    <div class="part sum">
      <Table
        caption="What the width at the shoulders is made of"
        still
        rows={rows}
        name={(row) => row[0]}
        head="Part"
        columns={[{ head: "wide", cell: (row) => <Length mm={row[1]} /> }]}
      />
      {budget.words.map((words) => (
        <p key={words}>{words}</p>
      ))}
    </div>
  );
}

function DoorFacts({ pack }: { pack: PackageRow }): JSX.Element | null {
  const door = pack.door;
  if (!door) return null;
  return (
    <dl class="facts part">
      <div>
        <dt>Lean of the side above the belt</dt>
        <dd>{door.tumblehome.toFixed(1)}°</dd>
      </div>
      <div>
        <dt>Side glass drops by</dt>
        <dd>
          <Length mm={door.drop} />
        </dd>
      </div>
      <div>
        <dt>Door that flat glass drops in</dt>
        <dd>
          <Length mm={door.needed} />
        </dd>
      </div>
      <div>
        <dt>Door as it is</dt>
        <dd>
          <Length mm={door.given} />
        </dd>
      </div>
    </dl>
  );
}

export function Sizes({ content }: { content: PeopleSheet }): JSX.Element {
  const { people, sizes } = content;
  const used = content.package?.used ?? [];
  const rows = sizes.filter(({ field }) => people.some((person) => person.sizes[field] !== null) || used.length);
  const cell = (person: string, field: string): string => {
    const typed = people.find((one) => one.name === person)?.sizes[field] ?? null;
    if (typed !== null) return formatLength(typed, system.value);
    const taken = used.find((one) => one.person === person && one.field === field);
    return taken ? `(${formatLength(taken.value, system.value)})` : "";
  };
  return (
    <div class="part">
      <Table
        caption="Sizes of the people; in brackets: not measured, taken from the survey"
        still
        rows={rows}
        name={(row) => row.words}
        head="Size"
        columns={people.map((person) => ({
          head: person.name,
          cell: (row: { field: string }) => cell(person.name, row.field),
        }))}
      />
    </div>
  );
}

export function Cautions({ cautions }: { cautions: string[] }): JSX.Element {
  return (
    <section class="part">
      <h2>What this does not show</h2>
      <ul class="cautions">
        {cautions.map((words) => (
          <li key={words}>{words}</li>
        ))}
      </ul>
    </section>
  );
}
