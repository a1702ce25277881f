import { expect, test } from 'vitest';
import { drawFlat } from '../../src/drawing/flat-yard.ts';
import { likelyWays } from '../../src/drawing/likely-ways.ts';
import { findSpill } from '../../src/spill/index.ts';
import { drainageOf } from '../support/yard.ts';
