import type { Command } from 'commander';
import type { Io, SetExit } from '../io.ts';

export type Register = (program: Command, io: Io, setExit: SetExit) => void;

/**
 * A command as the help page shows it. Its file is loaded only when it is asked for, so that help
 * and version start nearly as fast as an empty Node; a test holds usage and summary to the file's.
 */
export interface CommandEntry {
  readonly name: string;
  readonly usage: string;
  readonly summary: string;
  readonly load: () => Promise<{ readonly register: Register }>;
}

const PATHS = '[options] <path...>';

/** Every command, in the order of the help page. Their files import core inside actions only. */
export const commands: readonly CommandEntry[] = [
  {
    name: 'scan',
    usage: PATHS,
    summary: 'which parts fit as they are, turned or tilted, which must be split, which are broken',
    load: () => import('./scan.ts'),
  },
  {
    name: 'orient',
    usage: PATHS,
    summary: 'ways up that save supports, stand firm and still fit',
    load: () => import('./orient.ts'),
  },
  {
    name: 'split',
    usage: PATHS,
    summary: 'cut what does not fit: planes, dowels, the pieces and a cut sheet',
    load: () => import('./split.ts'),
  },
  {
    name: 'draw',
    usage: '[options] <file>',
    summary: 'a line drawing of a part: outline and creases, hidden lines removed',
    load: () => import('./draw.ts'),
  },
  {
    name: 'report',
    usage: '[options] <path>',
    summary: 'one page with pictures of a whole kit, and sheets for the bench',
    load: () => import('./report.ts'),
  },
  {
    name: 'estimate',
    usage: PATHS,
    summary: 'filament, metres, spools and hours of parts, of a kit, of split pieces',
    load: () => import('./estimate.ts'),
  },
  {
    name: 'kit',
    usage: '[options] <folder>',
    summary: 'write or update kit.yaml beside the parts; find copies and mirror images',
    load: () => import('./kit.ts'),
  },
  {
    name: 'plan',
    usage: '[options] [kit]',
    summary: 'which print when on which machine, day and night, around your hours',
    load: () => import('./plan.ts'),
  },
  {
    name: 'log',
    usage: '[options] [command]',
    summary: 'keep the print log beside the kit: what started, what is done, what failed',
    load: () => import('./log.ts'),
  },
  {
    name: 'salvage',
    usage: '[options] <file>',
    summary: 'the rest of a print that stopped, as a piece of its own',
    load: () => import('./salvage.ts'),
  },
  {
    name: 'balance',
    usage: '[options] [kit]',
    summary: 'how firmly the finished figure stands, and what would make it firmer',
    load: () => import('./balance.ts'),
  },
  {
    name: 'init',
    usage: '[options] [file]',
    summary: 'write a first workshop file, every setting explained in it',
    load: () => import('./init.ts'),
  },
];
