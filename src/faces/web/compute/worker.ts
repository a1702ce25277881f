import { createAnswers } from './answers.ts';
import { serve } from './serve.ts';

serve(self as unknown as DedicatedWorkerGlobalScope, createAnswers());
