import type { Command } from 'commander';
import type { Io, SetExit } from '../io.ts';
import { register as draw } from './draw.ts';
import { register as kit } from './kit.ts';
import { register as log } from './log.ts';
import { register as orient } from './orient.ts';
import { register as plan } from './plan.ts';
import { register as init } from './init.ts';
import { register as report } from './report.ts';
import { register as scan } from './scan.ts';
import { register as split } from './split.ts';

export type Register = (program: Command, io: Io, setExit: SetExit) => void;

/** Every command, in the order of the help page. Their files import core inside actions only. */
export const commands: readonly Register[] = [scan, orient, split, draw, report, kit, plan, log, init];
