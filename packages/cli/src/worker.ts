import { parentPort, workerData } from 'node:worker_threads';
import { failureOf, type FromWorker } from './pool.ts';

/** What a file in `tasks` exports: `start` is called once per thread, what it gives once per job. */
interface Task {
  readonly start: (setup: never) => (job: never) => unknown;
}

/** Every kind of work that threads do; loaded only in a thread that does it. */
const tasks: Readonly<Record<string, () => Promise<Task>>> = {
  scan: () => import('./tasks/scan.ts'),
  orient: () => import('./tasks/orient.ts'),
  split: () => import('./tasks/split.ts'),
  make: () => import('./tasks/make.ts'),
  weigh: () => import('./tasks/weigh.ts'),
  picture: () => import('./tasks/picture.ts'),
};

const { task, setup } = workerData as { task: string; setup: never };
const load = tasks[task];
if (!load || !parentPort) throw new Error(`no task "${task}"`);
const port = parentPort;
const run = load().then((loaded) => loaded.start(setup));

async function answer(job: never): Promise<FromWorker> {
  try {
    return { ok: true, result: await (await run)(job) };
  } catch (error) {
    return { ok: false, failure: failureOf(error) };
  }
}

port.on(
  'message',
  (job: unknown) => void answer(job as never).then((said) => port.postMessage(said)),
);
