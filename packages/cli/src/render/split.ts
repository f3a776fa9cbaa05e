import type { SplitPart, SplitReport, StandingPiece } from '@scantling/core';
import { counted, listed, mm, mmTriple } from './numbers.ts';
import { wrap } from './table.ts';

const nameOf = (part: SplitPart): string =>
  part.part === null ? part.file : `${part.file} (${part.part})`;

/** An error of reading names the file itself. */
const failed = (part: SplitPart, otherwise: string): string =>
  part.error?.startsWith(part.file) ? part.error : `${nameOf(part)}: ${part.error ?? otherwise}`;

type Plan = SplitPart['plans'][number];

/** All parts: what each needs, and the shopping list of the kit. */
export function splitText(report: SplitReport, width: number): string {
  const lines = report.parts.map((part) => partLines(part).map((l) => wrap(l, width, '  ')));
  const whole = report.parts.filter((p) => p.state === 'whole').length;
  const cut = report.parts.filter((p) => p.state === 'split');
  const pieces = cut.reduce((n, p) => n + (p.plans[0]?.pieces.length ?? 0), 0);
  const rest = report.parts.length - whole - cut.length;
  const said = [
    whole && `${whole} ${whole === 1 ? 'fits' : 'fit'} uncut`,
    cut.length && `${cut.length} split into ${counted(pieces, 'piece')}`,
    rest && `${rest} without a complete plan`,
  ].filter((t) => typeof t === 'string');
  const tail = [
    said.length > 0
      ? `${counted(report.parts.length, 'part')} for ${listed(report.machines)}: ${listed(said)}.`
      : `No part was done for ${listed(report.machines)}.`,
    ...shoppingLines(report.shopping),
  ].map((l) => wrap(l, width, '  '));
  return [...lines.map((l) => l.join('\n')), tail.join('\n')].map((t) => `${t}\n`).join('\n');
}

/** One part in short: the count beside the bound, the cuts, what the alternatives cost. */
function partLines(part: SplitPart): string[] {
  const [plan, ...others] = part.plans;
  if (!plan) return [failed(part, 'no plan')];
  const size = part.sizeMm ? ` (${mmTriple(part.sizeMm)} mm)` : '';
  if (part.state === 'whole') return [`${nameOf(part)}${size}: fits ${plan.pieces[0]?.fit.envelope ?? ''} uncut.`]; // prettier-ignore
  return [
    `${nameOf(part)}${size}: ${countWords(plan, part)}${part.state === 'incomplete' ? ' INCOMPLETE' : ''}`,
    ...plan.cuts.map((cut) => `  cut ${cut.id}: ${planeWords(plan, cut.plane)}; ${seamWords(cut)}`),
    `  dowels: ${dowelWords(part)}`,
    ...others.map((o, i) => `  ${i === 0 ? 'second' : 'third'} plan: ${counted(o.pieces.length, 'piece')} at ${o.planes.map((p) => planeWords(o, p.id)).join(' and ')}; cost ${mm(o.cost.total)} against ${mm(plan.cost.total)} mm of seam`),
    ...[...part.remarks, ...plan.remarks, ...(part.files?.remarks ?? [])].map((r) => `  ${r}`),
    ...(part.files && !part.files.written ? [`  Pieces were not written: ${part.files.because ?? ''}.`] : []),
    ...(part.files?.written ? [`  ${filesWords(part.files)}`] : []),
  ];
} // prettier-ignore

/** "3 pieces; fewer than 2 is impossible (its length against the envelope's diagonal)". */
function countWords(plan: Plan, part: SplitPart): string {
  const bound = part.lowerBound;
  const proved =
    bound === null || bound.count < 2
      ? ''
      : bound.count === plan.pieces.length
        ? `; fewer is impossible (${bound.because})`
        : `; fewer than ${bound.count} is impossible (${bound.because})`;
  return `${counted(plan.pieces.length, 'piece')}${proved}.`;
}

function planeWords(plan: Plan, id: string): string {
  const plane = plan.planes.find((p) => p.id === id);
  if (!plane) return id;
  const axis = plane.normal.findIndex((c) => c === 1);
  return axis >= 0
    ? `${'xyz'[axis]} = ${mm(plane.offsetMm)} mm`
    : `normal ${plane.normal.map((c) => c.toFixed(4)).join(', ')} at ${mm(plane.offsetMm)} mm`;
}

/** Whether a plane only passes between bodies that are apart already. */
export const meetsNothing = (seam: Plan['cuts'][number]['seam']): boolean =>
  seam.lengthMm === 0 && seam.innerMm === 0;

const seamWords = ({ seam }: Plan['cuts'][number]): string =>
  meetsNothing(seam)
    ? 'passes between bodies that are apart already'
    : [
        `seam ${mm(seam.lengthMm)} mm`,
        seam.areaMm2 === null ? 'area unknown' : `area ${mm(seam.areaMm2)} mm2`,
        seam.regions !== null && seam.regions > 1 && counted(seam.regions, 'region'),
      ]
        .filter(Boolean)
        .join(', ');

function dowelWords(part: SplitPart): string {
  const items = part.sheet?.shopping ?? [];
  return items.length ? listed(items.map((i) => `${i.count} x ${i.stock}`)) : 'none';
}

function filesWords(files: NonNullable<SplitPart['files']>): string {
  const repairs = files.repairs.length ? ` Mended first: ${listed(files.repairs)}.` : '';
  const volumes = files.volumes
    ? ` Volumes add up to ${files.volumes.relativeError.toExponential(1)} of the part's.`
    : '';
  return `${counted(files.files.length, 'file')}; pieces ${files.sound ? 'sound by every check' : 'NOT sound, see above'}.${volumes}${repairs}`;
}

const shoppingLines = (items: SplitReport['shopping']): string[] =>
  items.length
    ? [
        'Shopping list:',
        ...items.map((i) => {
          const unit = i.cutsMm.length ? 'mm' : 'pieces';
          const cuts = i.cutsMm.map((c) => `${c.count} of ${mm(c.lengthMm)} mm`);
          return `  ${i.count} x ${i.stock}${cuts.length ? `, cut ${listed(cuts)}` : ''}; to buy: ${mm(i.toBuy)} ${unit}`;
        }),
      ]
    : [];

const deg = (x: number): string => x.toFixed(2).replace(/^-0\.00$/, '0.00');

/** How a piece stands in its own file. */
function standsWords(piece: StandingPiece): string {
  const [x, y, z] = piece.turnsDeg.map(deg);
  const turned = `Its file stands on the plate of ${piece.envelope}, turned X ${x}, Y ${y}, Z ${z} degrees`;
  if (piece.supportsMm3 === null)
    return `${turned}: ${piece.by === 'witness' ? 'no better way up has room there' : 'NO place in it is known'}.`;
  const before = piece.asCutSupportsMm3 === null ? '' : `${mm(piece.asCutSupportsMm3 / 1000)} -> `;
  return `${turned}; supports ${before}${mm(piece.supportsMm3 / 1000)} cm3, an estimate${piece.steady ? '' : '; it does NOT stand steadily by itself'}.`;
}

/** The cut sheet of one part: what a person does, step by step. */
export function splitSheet(part: SplitPart): string {
  const [plan] = part.plans;
  const { sheet } = part;
  if (!plan || !sheet) return `${failed(part, 'nothing to cut')}\n`;
  const out: string[] = [
    `CUT SHEET  ${nameOf(part)}`,
    ...(part.sizeMm ? [`Size ${mmTriple(part.sizeMm)} mm in the file's own coordinates.`] : []),
    countWords(plan, part),
    '',
    'CUTTING, in this order',
  ];
  for (const step of sheet.cutting)
    out.push(
      `${step.order}. Take the body of ${counted(step.body.length, 'piece')} (${step.body.join(', ')}) as it lies in the file.`,
      `   Turn it X ${deg(step.turnsDeg[0])}, Y ${deg(step.turnsDeg[1])}, Z ${deg(step.turnsDeg[2])} degrees about the fixed axes, in this order.`,
      `   Set it on the plate and cut at height ${step.heightMm.toFixed(2)} mm.`,
      `   Below the cut: ${step.below.join(', ')}. Above: ${step.above.join(', ')}.`,
      `   Plane ${step.plane.id}: normal ${step.plane.normal.map((c) => c.toFixed(6)).join(', ')}, offset ${step.plane.offsetMm.toFixed(3)} mm. Turn back before the next cut.`,
    );
  out.push('', 'PIECES');
  for (const piece of plan.pieces) {
    const turns = piece.fit.placement?.turnsDeg;
    out.push(
      `${piece.id}: ${mmTriple(piece.sizeMm)} mm${piece.volumeMm3 === null ? ', volume unknown' : `, ${mm(piece.volumeMm3 / 1000)} cm3`}; ${
        turns
          ? `fits ${piece.fit.envelope} turned X ${deg(turns[0])}, Y ${deg(turns[1])}, Z ${deg(turns[2])} degrees, room ${mm(Math.min(...(piece.fit.placement?.clearanceMm ?? [])))} mm`
          : 'NOT certified to fit'
      }.`,
    );
    const stands = part.files?.onPlate?.find((p) => p.piece === piece.id);
    if (stands) out.push(`   ${standsWords(stands)}`);
  }
  out.push('', 'DOWELS');
  for (const joint of part.joints) {
    for (const region of joint.regions) {
      for (const d of region.dowels)
        out.push(
          `${d.id}: ${d.stock}, hole ${Number(d.holeDiameterMm.toFixed(2))} mm, ${mm(d.depthBelowMm)} mm deep below and ${mm(d.depthAboveMm)} mm above, at ${d.centreMm.map((c) => c.toFixed(2)).join(', ')}; least wall ${mm(d.leastWallMm)} mm${d.proved ? '' : ' (not proved: open mesh)'}.`,
        );
      for (const advice of region.advice) out.push(`${joint.id}: ${advice.words}`);
    }
  }
  out.push('', ...strengthLines(part.joints), '', 'GLUING, in this order');
  for (const step of sheet.gluing)
    out.push(
      `${step.order}. Cut ${step.cut}: ${listed(step.joints)}${step.dowels.length ? `, with ${listed(step.dowels.map((d) => `${d.count} x ${d.stock}`))}` : ', without dowels'}.`,
    );
  out.push('', ...shoppingLines(sheet.shopping), '', 'CAUTIONS', ...sheet.cautions.map((c) => `- ${c}`)); // prettier-ignore
  const remarks = [...part.remarks, ...plan.remarks, ...(part.files?.remarks ?? [])];
  if (remarks.length) out.push('', 'REMARKS', ...remarks.map((r) => `- ${r}`));
  return `${out.join('\n')}\n`;
}

/** What each joint may carry across its face, the formula and its caution once. */
function strengthLines(joints: SplitPart['joints']): string[] {
  const [first] = joints;
  if (!first) return [];
  const newtons = (n: number): string => `${n < 10 ? n.toFixed(1) : n.toFixed(0)} N`;
  return [
    'STRENGTH of the joints across their faces, an estimate',
    ...joints.map(({ id, strength: s }) => {
      const against =
        s.loadN === null || s.margin === null
          ? ''
          : `; ${newtons(s.loadN)} hang from it, ${s.margin >= 1 ? `${(100 / s.margin).toFixed(s.margin > 100 ? 1 : 0)} % of that` : 'MORE than it may carry'}`;
      return `${id}: ${newtons(s.allowedN)} (glue ${newtons(s.glueN)}, dowels ${newtons(Math.min(s.dowelShearN, s.bearingN))})${against}.`;
    }),
    `Formula: ${first.strength.formula}.`,
    first.strength.caution,
  ];
}
