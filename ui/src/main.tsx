import { h, render } from "../vendor/preact.js";
import { Sheet } from "./sheets/staging.js";
import { open } from "./store/link.js";

open();
render(<Sheet />, document.body);
