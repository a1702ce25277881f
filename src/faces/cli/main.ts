import { runProgram } from './oilshed.ts';
import { PROCESS_WORLD } from './world.ts';

process.stdout.on('error', (error: NodeJS.ErrnoException) => {
  // The reader closed the pipe, as `head` does: that is not a failure.
  if (error.code === 'EPIPE') process.exit(0);
  throw error;
});
process.exitCode = await runProgram(process.argv.slice(2), PROCESS_WORLD);
