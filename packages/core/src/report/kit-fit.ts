import { z } from 'zod';
import type { ScanPart } from './scan.ts';

/** What the kit as a whole answers, from the entries of its parts. */
export const kitSchema = z.strictObject({
  files: z.number().int().describe('files looked at'),
  parts: z.number().int().describe('parts found in them; an unreadable file counts as one'),
  counts: z
    .strictObject({
      fits: z.number().int(),
      'fits-turned': z.number().int(),
      'fits-tilted': z.number().int(),
      'too-big': z.number().int(),
      undecided: z.number().int(),
      unreadable: z.number().int(),
    })
    .describe('parts by verdict'),
  scale: z
    .strictObject({
      atLeast: z.number().describe('at this uniform scale every part that was read fits unsplit'),
      atMost: z.number().describe('above this scale at least one part fits in no orientation'),
      proved: z.boolean().describe('whether atMost is a certificate'),
      decidedBy: z.array(z.string()).describe('the parts that may set this limit'),
    })
    .nullable()
    .describe('largest scale at which every part fits unsplit; null when none was read'),
  machines: z
    .array(
      z.strictObject({
        machine: z.string(),
        fits: z.number().int().describe('parts that fit this machine in some orientation'),
        of: z.number().int().describe('parts that were read'),
      }),
    )
    .describe('in the order of the workshop file'),
});
export type KitFit = z.infer<typeof kitSchema>;

/** A part's name within results: the file, and the part in brackets where the file holds several. */
export const partName = (part: Pick<ScanPart, 'file' | 'part'>): string =>
  part.part === null ? part.file : `${part.file} (${part.part})`;

/**
 * The kit's answers: per verdict and per machine how many parts, and the largest uniform scale at
 * which every part that was read goes, unsplit, on at least one machine.
 *
 * A part's own limit lies in [max atLeast, max atMost] over the machines; the kit's in the minimum
 * of both over the parts. A part decides when its limit may lie as low as the kit's upper end.
 */
export function summariseKit(parts: readonly ScanPart[], machines: readonly string[]): KitFit {
  const counts: KitFit['counts'] = {
    fits: 0,
    'fits-turned': 0,
    'fits-tilted': 0,
    'too-big': 0,
    undecided: 0,
    unreadable: 0,
  };
  for (const part of parts) counts[part.verdict]++;

  const read = parts.filter((part) => part.machines.length > 0);
  const limits = read.map((part) => ({
    name: partName(part),
    atLeast: Math.max(...part.machines.map((fit) => fit.scale.atLeast)),
    atMost: Math.max(...part.machines.map((fit) => fit.scale.atMost)),
    proved: part.machines.every((fit) => fit.scale.proved),
  }));
  const atMost = Math.min(...limits.map((limit) => limit.atMost));
  const deciding = limits.filter((limit) => limit.atLeast <= atMost);
  return {
    files: new Set(parts.map((part) => part.file)).size,
    parts: parts.length,
    counts,
    scale: limits.length
      ? {
          atLeast: Math.min(...limits.map((limit) => limit.atLeast)),
          atMost,
          // The lowest upper end is what bounds the kit; other parts' ends don't matter.
          proved: limits.some((limit) => limit.atMost === atMost && limit.proved),
          decidedBy: deciding.sort((a, b) => a.atMost - b.atMost).map((limit) => limit.name),
        }
      : null,
    machines: machines.map((machine) => ({
      machine,
      fits: read.filter((part) =>
        part.machines.some((fit) => fit.machine === machine && isFit(fit.verdict)),
      ).length,
      of: read.length,
    })),
  };
}

/** Whether a verdict means that the part goes on whole. */
export const isFit = (verdict: string): boolean => verdict.startsWith('fits');
