import { endTestRun } from '../../tools/test-cluster.mjs';

export default endTestRun;
