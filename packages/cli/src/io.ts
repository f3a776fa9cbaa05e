/** Everything a command may touch of the outside, handed in so that tests can hand in their own. */
export interface Io {
  readonly stdout: (text: string) => void;
  readonly stderr: (text: string) => void;
  readonly cwd: string;
  readonly env: Readonly<Record<string, string | undefined>>;
  /** Terminal width in columns, or null when stdout is not a terminal. */
  readonly columns: number | null;
  /** Whether progress may be drawn on stderr. */
  readonly interactive: boolean;
  /** Whether to colour: a terminal, NO_COLOR unset or empty, --no-color not given. */
  readonly colour: boolean;
  /** Aborted on Ctrl-C. */
  readonly signal: AbortSignal;
  /** Now, for logs and plans; fixed in tests. */
  readonly now: () => Date;
}

/** Exit codes of every command. `fault` is a bug of ours, as sysexits.h has it (EX_SOFTWARE). */
export const EXIT = { ok: 0, incomplete: 1, usage: 2, fault: 70, interrupted: 130 } as const;

/** How a command says with which code the process shall end; the default is `EXIT.ok`. */
export type SetExit = (code: number) => void;
