import { h, render } from "../vendor/preact.js";
import { Sheet } from "./sheets/staging.js";
import { open } from "./store/link.js";
open();
render(/* @__PURE__ */ h(Sheet, null), document.body);
