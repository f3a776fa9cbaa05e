import { closeSeams } from '../mesh/index.ts';
import type { ReadNote, ReadOptions, ReadPart } from './types.ts';

/** Last step of every reader: open seams are closed where they are open by rounding only. */
export function finishPart(part: ReadPart, options: ReadOptions): ReadPart {
  if (options.seams === 'off') return part;
  const closed = closeSeams(part.mesh);
  if (!closed) return part;
  const note: ReadNote = {
    code: 'SEAMS_WELDED',
    message:
      `${closed.openEdgesBefore} open edges closed by welding ${closed.verticesMerged} vertices within ` +
      `${Number(closed.toleranceMm.toPrecision(3))} mm (${closed.relative} of the part's diagonal)` +
      `${closed.facetsDropped > 0 ? `; ${closed.facetsDropped} facets shrank to nothing` : ''}.`,
  };
  return { ...part, mesh: closed.mesh, notes: [...part.notes, note] };
}

/** A remark when the name's ending promises something else than the content was. */
export function wrongEnding(name: string | undefined, ending: 'stl' | 'obj' | '3mf'): ReadNote[] {
  const found = /\.(stl|obj|3mf)$/i.exec(name ?? '')?.[1]?.toLowerCase();
  if (!found || found === ending) return [];
  return [
    { code: 'WRONG_ENDING', message: `The file is named .${found}, but its content is ${ending.toUpperCase()}.` }, // prettier-ignore
  ];
}
