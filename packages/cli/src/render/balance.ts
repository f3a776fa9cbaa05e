import type { Balance } from '@scantling/core';
import { listed, mm } from './numbers.ts';
import { wrap } from './table.ts';

const kg = (g: number): string => `${(g / 1000).toFixed(2)} kg`;

/** How the figure stands, in sentences a person would say. */
export function balanceText(b: Balance, width: number): string {
  const { tip, wanted } = b;
  const [x, y] = tip.towards;
  const side = Math.abs(x) > Math.abs(y) ? (x > 0 ? '+x' : '-x') : y > 0 ? '+y' : '-y';
  const lines = [
    `The figure weighs ${kg(b.massG)} and is ${mm(b.heightMm)} mm high.`,
    `By group: ${b.massByGroup.map((g) => `${g.group} ${kg(g.massG)}`).join(', ')}.`,
    `Centre of mass at x ${mm(b.centreMm[0])}, y ${mm(b.centreMm[1])}, ${mm(b.centreMm[2])} mm above the floor.`,
    b.onItsFeet
      ? `It tips at ${tip.angleDeg.toFixed(1)} degrees, first towards ${side}; a push of ${tip.pushN.toFixed(1)} N at ${mm(tip.pushHeightMm)} mm is enough.`
      : `It does not stand: its centre of mass lies ${(-tip.angleDeg).toFixed(1)} degrees outside its foot, towards ${side}.`,
    b.ceiling
      ? `Under ${mm(b.ceiling.mm)} mm it ${b.ceiling.stands ? 'stands' : 'does not stand'}; raised in one piece it sweeps ${mm(b.swingHeightMm)} mm, ${b.ceiling.raised ? 'which fits' : 'so put it together standing'}.`
      : `Raised in one piece over an edge of its foot it sweeps ${mm(b.swingHeightMm)} mm.`,
    wanted ? wantedText(wanted) : '',
    b.unknown.length > 0 ? `Not weighed: ${listed(b.unknown.map((u) => `${u.name} (${u.because.replace(/\.$/, '')})`))}. Heavy parts among them change all of this.` : '', // prettier-ignore
    'Each part is taken to be as heavy everywhere; hollow ones are a little off.',
    ...b.cautions.map((c) => `Caution: ${c}`),
  ].filter(Boolean);
  return lines.map((line) => `${wrap(line, width, '  ')}\n`).join('');
}

function wantedText(w: NonNullable<Balance['wanted']>): string {
  if (w.lowPartsG === 0 || w.ballastG === 0) return `It reaches the ${w.angleDeg} degrees wanted as it is.`; // prettier-ignore
  const ballast = w.ballastG === null ? 'no ballast in the foot is enough' : `${kg(w.ballastG)} of ballast in the foot`; // prettier-ignore
  if (w.lowPartsRoomG === 0)
    return `For ${w.angleDeg} degrees: ${ballast}; or give boots and shins the role weight in the kit file, to see what more walls and infill there would do.`;
  if (w.lowPartsG === null)
    return `For ${w.angleDeg} degrees: the parts with the role weight cannot do it alone (solid they take ${kg(w.lowPartsRoomG)} more); ${ballast}.`;
  const ways = [
    w.lowPartsInfill === null ? '' : `${Math.ceil(100 * w.lowPartsInfill)} % infill`,
    w.lowPartsWalls === null ? '' : `${w.lowPartsWalls} walls`,
  ].filter(Boolean);
  const tried = w.wallsTried.length === 0 ? '' : w.lowPartsWalls === null ? ` More walls alone are not enough (${Math.max(...w.wallsTried)} tried).` : ` The number of walls is the least, found by halving (${listed(w.wallsTried.map(String))} tried).`; // prettier-ignore
  return `For ${w.angleDeg} degrees: ${kg(w.lowPartsG)} more in the parts with the role weight, of ${kg(w.lowPartsRoomG)} they can take${ways.length > 0 ? ` (${ways.join(', or ')} there)` : ''}; or ${ballast}.${tried}`; // prettier-ignore
}
