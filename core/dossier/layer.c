/* keeps the layer buildable until its first module lands */ typedef int wa_dossier_layer;
