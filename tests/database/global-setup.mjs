import { beginTestRun } from '../../tools/test-cluster.mjs';

export default beginTestRun;
