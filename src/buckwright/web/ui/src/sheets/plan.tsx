// Who does what next? A board of sessions, each person a lane, and the list of tasks.

import type { JSX } from "preact";
import { Table } from "../parts/table";
import { hovered, pick, picked } from "../state";
import type { AssignmentRow, PlanSheet, TaskRow } from "../types";

type Session = PlanSheet["sessions"][number];

export function Plan({ content }: { content: PlanSheet }): JSX.Element | null {
  const { tasks, sessions, assignments = [], left_over = [] } = content;
  if (tasks.length === 0) return null;
  const longest = Math.max(...sessions.map((session) => session.hours), 1);
  const task = tasks.find((row) => row.name === (hovered.value ?? picked.value));
  return (
    <>
      <figure class="view board">
        {sessions.map((session) => (
          <Board
            key={session.name}
            session={session}
            longest={longest}
            work={assignments.filter((row) => row.session === session.name)}
          />
        ))}
        <p class="said" role="status">
          {task ? about(task) : "Pick a piece of work to see what it needs. Each row is one person."}
        </p>
      </figure>
      <Table
        caption="Tasks"
        rows={tasks}
        name={(row) => row.name}
        head="Task"
        columns={[
          { head: "hours", cell: (row) => row.expected.toFixed(1) },
          { head: "from – to", cell: (row) => `${hours(row.hours[0])} – ${hours(row.hours[2])}` },
          { head: "people", cell: (row) => row.people },
          { head: "level", cell: (row) => row.skill },
          { head: "when", words: true, cell: (row) => when(row, assignments, left_over) },
          { head: "who", words: true, cell: (row) => who(row, assignments) },
        ]}
      />
      <Cautions tasks={tasks} />
    </>
  );
}

/** Each caution once, with the kinds of work that it belongs to. */
function Cautions({ tasks }: { tasks: TaskRow[] }): JSX.Element | null {
  const kinds = new Map<string, Set<string>>();
  for (const task of tasks) {
    if (!task.caution) continue;
    kinds.set(task.caution, (kinds.get(task.caution) ?? new Set()).add(task.operation));
  }
  if (kinds.size === 0) return null;
  return (
    <section class="part">
      <h2>Before you start</h2>
      <ul class="findings">
        {[...kinds].map(([caution, operations]) => (
          <li key={caution}>
            <strong>{[...operations].join(", ")}</strong>
            <span>{caution}</span>
          </li>
        ))}
      </ul>
    </section>
  );
}

const hours = (count: number): string => String(Math.round(count * 10) / 10);

function when(task: TaskRow, assignments: AssignmentRow[], left: string[]): string {
  if (left.includes(task.name)) return "needs more sessions";
  const found = assignments.filter((row) => row.task === task.name).map((row) => row.session);
  return [...new Set(found)].join(", ");
}

function who(task: TaskRow, assignments: AssignmentRow[]): string {
  const found = assignments.filter((row) => row.task === task.name).flatMap((row) => row.people);
  return [...new Set(found)].join(", ");
}

function marked(name: string): string {
  return picked.value === name ? "picked" : hovered.value === name ? "near" : "";
}

function about(task: TaskRow): string {
  const after = task.needs.length > 0 ? ` After: ${task.needs.join(", ")}.` : "";
  return `${task.name}: about ${hours(task.expected)} hours, ${task.people} ${task.people === 1 ? "person" : "people"} at level ${task.skill}.${after} ${task.caution}`;
}

interface BoardProps {
  session: Session;
  longest: number;
  work: AssignmentRow[];
}

function Board({ session, longest, work }: BoardProps): JSX.Element {
  const day = new Date(`${session.day}T12:00`);
  const words = day.toLocaleDateString("en-GB", { weekday: "long", day: "numeric", month: "long" });
  return (
    <section class="session">
      <h2>
        {session.name} <small>{words}, {hours(session.hours)} hours</small>
      </h2>
      <div
        class="lanes"
        role="img"
        aria-label={`Who works on what, ${session.name}; the table of tasks below says the same`}
        style={{ width: `${(100 * session.hours) / longest}%` }}
      >
        {session.present.map((person) => (
          <div class="lane" key={person}>
            <span class="who">{person}</span>
            <div class="track">
              {work
                .filter((row) => row.people.includes(person))
                .map((row) => (
                  <span
                    key={`${row.task} ${row.start}`}
                    class={marked(row.task)}
                    title={`${row.task}, ${hours(row.hours)} hours`}
                    style={{
                      left: `${(100 * row.start) / session.hours}%`,
                      width: `${(100 * row.hours) / session.hours}%`,
                    }}
                    onMouseEnter={() => (hovered.value = row.task)}
                    onMouseLeave={() => (hovered.value = null)}
                    onClick={() => pick(row.task)}
                  >
                    {row.task}
                  </span>
                ))}
            </div>
          </div>
        ))}
      </div>
    </section>
  );
}
