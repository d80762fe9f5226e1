// The start of the page: settings and words first, then the frame, then the part in the address.

import { openShell } from "/static/js/shell.js";
import { startNews } from "/static/js/news.js";
import { loadSettings } from "/static/js/settings.js";

await loadSettings();
openShell(document.getElementById("page"));
startNews();
