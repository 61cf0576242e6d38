/* SPDX-License-Identifier: GPL-3.0-or-later */
/* hillrow crops: the crop library. */
#include "cmd.h"

int cmd_crops(const struct options *options)
{
    struct cmd cmd;
    hr_status status = cmd_open(&cmd, options);
    if (status != HR_OK)
        return cmd_close(&cmd, status);
    const char *name = options->argument;
    const char *text = name ? hr_library_show(cmd.library, name, options->json, cmd.diags)
                            : hr_library_list(cmd.library, options->json);
    if (!text && hr_diags_errors(cmd.diags) > 0)
        status = HR_USAGE; /* no such crop */
    else
        status = cmd_print(text);
    return cmd_close(&cmd, status);
}
