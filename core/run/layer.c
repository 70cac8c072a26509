/* keeps the layer buildable until its first module lands */ typedef int wa_run_layer;
