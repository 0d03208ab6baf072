// Which component draws which sheet.

import type { ComponentType } from "preact";
import { Buck } from "./buck";
import { Checking } from "./checking";
import { Drawings } from "./drawings";
import { Gauges } from "./gauges";
import { Lines } from "./lines";
import { Openings } from "./openings";
import { Panels } from "./panels";
import { People } from "./people";
import { Plan } from "./plan";
import { PicturesAndShoot } from "./shoot";
import { Skin } from "./skin";

// Each is given the content that the server sends under the sheet's own name.
export const SHEETS: Record<string, ComponentType<{ content: any }>> = {
  people: People,
  pictures: PicturesAndShoot,
  lines: Lines,
  skin: Skin,
  openings: Openings,
  buck: Buck,
  panels: Panels,
  gauges: Gauges,
  drawings: Drawings,
  checking: Checking,
  plan: Plan,
};
