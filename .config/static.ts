import { pages } from './web.ts';

export default pages(true);
