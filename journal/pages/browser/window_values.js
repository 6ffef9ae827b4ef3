// What this window keeps. A form waits for it: it shows at once what was typed and not saved.

import { windowValues as opening } from "./browser_storage.js";

export const windowValues = await opening;
