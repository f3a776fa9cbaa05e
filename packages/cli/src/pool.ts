import { Worker } from 'node:worker_threads';
import { isKnown } from './failure.ts';

/** What ended a job that gave no result. */
export interface JobFailure {
  /** `time`: over its limit. `memory`: the thread ran out. `known`: wrong input. `fault`: a bug. */
  readonly kind: 'time' | 'memory' | 'known' | 'fault';
  readonly code: string;
  readonly message: string;
}

export interface PoolOptions<Job, Result> {
  /** Name of a file in `src/tasks`, see `worker.ts`. */
  readonly task: string;
  /** Sent to every worker once; plain data. */
  readonly setup: unknown;
  /** In the order in which they are begun. */
  readonly jobs: readonly Job[];
  /** Threads; each has one job in flight. */
  readonly threads: number;
  /** Aborting ends every thread at once; `runPool` then comes back with what is done. */
  readonly signal: AbortSignal;
  /** A job that takes longer fails with kind `time`, and its thread is replaced. Default: none. */
  readonly limitMs?: number | undefined;
  readonly onResult: (job: Job, result: Result) => void;
  readonly onFailure: (job: Job, failure: JobFailure) => void;
}

/** Messages between the pool and `worker.ts`. */
export type FromWorker =
  | { readonly ok: true; readonly result: unknown }
  | { readonly ok: false; readonly failure: JobFailure };

const workerFile = new URL(
  import.meta.url.endsWith('.ts') ? './worker.ts' : './worker.js',
  import.meta.url,
);

/** Runs jobs in worker threads, hands each result over as it comes, and leaves no thread behind. */
export async function runPool<Job, Result>(options: PoolOptions<Job, Result>): Promise<void> {
  const waiting = [...options.jobs].reverse();
  const threads = Math.max(1, Math.min(options.threads, waiting.length));
  await Promise.all(Array.from({ length: threads }, () => serve(options, waiting)));
}

/** One thread's life: it takes jobs until none waits; a thread that died is replaced. */
async function serve<Job, Result>(
  options: PoolOptions<Job, Result>,
  waiting: Job[],
): Promise<void> {
  const { signal } = options;
  let worker: Worker | undefined;
  try {
    while (waiting.length && !signal.aborted) {
      const job = waiting.pop() as Job;
      worker ??= new Worker(workerFile, {
        workerData: { task: options.task, setup: options.setup },
      });
      const answer = await ask(worker, job, signal, options.limitMs);
      if (answer === 'aborted') return;
      if (answer.ok) options.onResult(job, answer.result as Result);
      else {
        options.onFailure(job, answer.failure);
        if (answer.failure.kind === 'time' || answer.failure.kind === 'memory') {
          await worker.terminate();
          worker = undefined;
        }
      }
    }
  } finally {
    await worker?.terminate();
  }
}

/** One job, one answer. */
function ask(
  worker: Worker,
  job: unknown,
  signal: AbortSignal,
  limitMs: number | undefined,
): Promise<FromWorker | 'aborted'> {
  return new Promise((resolve) => {
    const done = (answer: FromWorker | 'aborted'): void => {
      worker.off('message', done).off('error', onError).off('exit', onExit);
      signal.removeEventListener('abort', onAbort);
      clearTimeout(timer);
      resolve(answer);
    };
    const fail = (failure: JobFailure): void => done({ ok: false, failure });
    const onAbort = (): void => done('aborted');
    const onError = (error: Error): void => fail(failureOf(error));
    const onExit = (code: number): void =>
      fail({ kind: 'memory', code: 'THREAD_DIED', message: `The thread ended with code ${code}.` });
    const timer =
      limitMs === undefined
        ? undefined
        : setTimeout(
            () =>
              fail({
                kind: 'time',
                code: 'TIME_LIMIT',
                message: `Not done after ${Math.round(limitMs / 1000)} s; given up.`,
              }),
            limitMs,
          );
    signal.addEventListener('abort', onAbort);
    worker.on('message', done).on('error', onError).on('exit', onExit);
    worker.postMessage(job);
  });
}

/** An error as plain data, for the way through a message. */
export function failureOf(error: unknown): JobFailure {
  if (isKnown(error)) return { kind: 'known', code: error.code, message: error.line };
  const { code, stack, message } = error as NodeJS.ErrnoException;
  // A typed array that the system would not give is a RangeError in V8.
  if (code === 'ERR_WORKER_OUT_OF_MEMORY' || /allocation failed/i.test(message ?? ''))
    return { kind: 'memory', code: 'OUT_OF_MEMORY', message: 'Not enough memory for this part.' };
  return { kind: 'fault', code: code ?? 'FAULT', message: stack ?? String(error) };
}
